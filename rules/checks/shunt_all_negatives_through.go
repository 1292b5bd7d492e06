package checks

import (
	"fmt"
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// AllThrough asks that everything but the bank lands on the system's side of a
// shunt.
var AllThrough = &rules.Rule{
	ID:    "shunt.all-negatives-through",
	Title: "Current goes past the shunt uncounted",
	Must:  "The bank's side of a shunt holds the bank's negatives alone. Every load, charger, controller and alternator lands on the system's side.",
	Basis: []rules.Basis{
		{Source: "a shunt counts what goes through it", Seen: rules.Practice},
	},
	Level: rules.Violation, Stateless: true,
	Check: func(p *rules.Pass) { eachShunt(p, allThrough) },
}

func allThrough(p *rules.Pass, sht components.Part, bank, system circuit.Term) {
	onBank, onSystem := negatives(p, bank), negatives(p, system)
	if _, round := onBank[system]; round {
		return // shunt.no-bypass-path speaks
	}
	level := rules.Advice
	if sht.Is("controls") {
		level = rules.Violation
	}
	banks, astray := houseBanks(p, onBank), houseBanks(p, onSystem)
	if len(banks) == 0 && len(astray) > 0 {
		p.Report(rules.Finding{
			At: string(sht.ID), Also: words(astray), Level: level,
			Message: fmt.Sprintf("%s is turned round: %s lands on its system side, so it counts what is stored as used", sht.ID, list(astray)),
			Fixes:   turnRound(p, sht),
		})
		return
	}
	for _, id := range astray {
		q, _ := p.Doc.Part(id)
		if len(banks) == 0 || !onOnePositive(p, id, banks) {
			continue
		}
		f := rules.Finding{
			At: string(id), Also: []string{string(sht.ID)}, Level: level,
			Message: fmt.Sprintf("The negative of %s lands on the system side of %s: what it gives and takes is not counted", id, sht.ID),
		}
		for _, r := range p.Doc.RunsAt(q.Ref("neg")) {
			if edits, ok := moveEnd(p, r.ID, onSystem, bankEnd(p, sht, onBank)); ok {
				f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Move %s to the bank's side of %s", r.ID, sht.ID), Edits: edits}}
			}
		}
		p.Report(f)
	}
	wrong := misplaced(p, onBank)
	var runs []components.ID
	for run := range wrong {
		runs = append(runs, run)
	}
	slices.SortFunc(runs, components.CompareIDs)
	for _, run := range runs {
		f := rules.Finding{
			At: string(run), Also: []string{string(wrong[run]), string(sht.ID)}, Level: level,
			Message: fmt.Sprintf("%s brings the negative of %s to the bank's side of %s: its current is never counted", run, wrong[run], sht.ID),
		}
		if edits, ok := moveEnd(p, run, onBank, systemEnd(p, sht, system)); ok {
			f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Move %s to %s", run, systemEnd(p, sht, system)), Edits: edits}}
		}
		p.Report(f)
	}
}

// onOnePositive tells whether a battery's positive is joined to that of others.
func onOnePositive(p *rules.Pass, id components.ID, banks []components.ID) bool {
	t, ok := p.Circuit.At(id, "pos", components.Pos)
	for _, o := range banks {
		if u, found := p.Circuit.At(o, "pos", components.Pos); ok && found && p.Circuit.Net(t) == p.Circuit.Net(u) {
			return true
		}
	}
	return false
}

// bankEnd is where a battery's negative belongs: a bar on the bank's side, or the
// shunt itself.
func bankEnd(p *rules.Pass, sht components.Part, onBank map[circuit.Term]components.ID) components.PortRef {
	for _, q := range p.Doc.Parts() {
		if t, ok := p.Circuit.At(q.ID, "bar", components.Neg); ok && q.Kind == &components.Busbar {
			if _, on := onBank[t]; on {
				return q.Ref("bar")
			}
		}
	}
	return sht.Ref("battery")
}

// turnRound changes the runs at the two ends of a shunt over.
func turnRound(p *rules.Pass, sht components.Part) []rules.Fix {
	other := map[components.PortRef]components.PortRef{sht.Ref("battery"): sht.Ref("system"), sht.Ref("system"): sht.Ref("battery")}
	var edits []components.Edit
	for _, r := range p.Doc.RunsOf(sht.ID) {
		e := r.Rerouted()
		e.Path = nil
		if to, ok := other[r.From]; ok {
			e.From = to
		}
		if to, ok := other[r.To]; ok {
			e.To = to
		}
		edits = append(edits, e)
	}
	if len(edits) == 0 {
		return nil
	}
	return []rules.Fix{{Title: fmt.Sprintf("Turn %s round", sht.ID), Edits: edits}}
}

func words(ids []components.ID) []string {
	var all []string
	for _, id := range ids {
		all = append(all, string(id))
	}
	return all
}
