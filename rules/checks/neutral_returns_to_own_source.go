package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// OwnNeutral asks that the neutral of a circuit goes back to the panel that feeds
// its hot.
var OwnNeutral = &rules.Rule{
	ID:    "neutral.returns-to-own-source",
	Title: "A neutral does not go back to the panel that feeds its hot",
	Must:  "The neutral of each circuit goes back to the panel, breaker or source that feeds its hot, and the ground goes with them.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "300.3(B)", Says: "all conductors of a circuit together, its neutral and its ground among them", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2023", Clause: "200.4(A)", Says: "no neutral serves another circuit", Seen: rules.Memory},
	},
	Level:    rules.Danger,
	Explains: []string{"neutral.carries-unbalance", "neutral.open-neutral-exposure"},
	Check:    ownNeutral,
}

func ownNeutral(p *rules.Pass) {
	brokenReturn(p, components.N)
	if !p.First() {
		return
	}
	tiedBars(p)
	for _, q := range p.Doc.Parts() {
		if q.Gone() || q.Kind != &components.ACLoad && q.Kind != &components.Receptacle && q.Kind != &components.Charger {
			continue
		}
		port := "in"
		if q.Kind == &components.Charger {
			port = "ac-in"
		}
		hot, okH := hotAt(p, q, port)
		neutral, okN := p.Circuit.At(q.ID, port, components.N)
		ground, _ := p.Circuit.At(q.ID, port, components.G)
		if !okH || !okN {
			continue
		}
		from, fed := firstPanel(p, hot)
		if !fed {
			continue
		}
		back, returns := firstPanel(p, neutral)
		switch {
		case q.Figure("hots").Value == 2 && !returns: // one that works between its hots alone
		case !returns:
			p.Report(rules.Finding{At: string(q.ID), Message: fmt.Sprintf("%s has a hot from %s and no neutral: its return runs through ground, or nowhere", q.ID, from), Fixes: addCore(p, q, port, components.N)})
		case back != from:
			p.Report(rules.Finding{At: string(q.ID), Also: []string{string(from), string(back)},
				Message: fmt.Sprintf("The hot of %s comes from %s, but its neutral goes back to %s: ground-fault devices trip, and a lost state leaves the return open", q.ID, from, back),
				Fixes:   bringNeutral(p, q, port)})
		}
		if _, grounded := firstPanel(p, ground); !grounded && q.Kind != &components.Charger {
			p.Report(rules.Finding{At: q.Ref(port).String(), Also: []string{string(from)},
				Message: fmt.Sprintf("%s has no ground conductor back to %s: a fault makes its case live", q.ID, from), Fixes: addCore(p, q, port, components.G)})
		}
	}
}

// hotAt is the first of a port's hots that a conductor is joined to.
func hotAt(p *rules.Pass, q components.Part, port string) (circuit.Term, bool) {
	for _, pole := range []components.Pole{components.L, components.L1, components.L2} {
		if t, ok := p.Circuit.At(q.ID, port, pole); ok && len(p.Circuit.LinksAt(t)) > 0 {
			return t, true
		}
	}
	return 0, false
}

// tiedBars finds a neutral between two panels neither of which feeds the other.
// Beside an inverter that joins its neutrals it is a second way for the current;
// beside one that does not it joins two sources.
func tiedBars(p *rules.Pass) {
	for _, r := range p.Doc.Runs() {
		a, _ := p.Doc.Part(r.From.Part)
		b, _ := p.Doc.Part(r.To.Part)
		if r.Gone() || a.ID == b.ID || a.Kind != &components.Panel || b.Kind != &components.Panel || !hasCore(p.Doc, r, components.N) || feedsPanelFrom(p, a, b) || feedsPanelFrom(p, b, a) {
			continue
		}
		hot := false
		for _, core := range p.Doc.CoresOf(r) {
			hot = hot || core.From.Hot()
		}
		if hot {
			continue // panel.no-source-loop, transfer.never-parallel
		}
		p.Report(rules.Finding{
			At: string(r.ID), Also: []string{string(a.ID), string(b.ID)},
			Message: fmt.Sprintf("%s ties the neutrals of %s and %s, of which neither feeds the other: current comes back another way than it went out", r.ID, a.ID, b.ID),
			Working: []string{fmt.Sprintf("hots that run with the neutral of %s: none", r.ID)},
			Fixes:   []rules.Fix{{Title: "Remove " + string(r.ID), Edits: []components.Edit{components.RemoveRun{ID: r.ID}}}},
		})
	}
}

// feedsPanelFrom tells whether the hots of a panel come from another one.
func feedsPanelFrom(p *rules.Pass, from, to components.Part) bool {
	for _, pole := range []components.Pole{components.L, components.L1, components.L2} {
		if t, ok := p.Circuit.At(to.ID, "main", pole); ok {
			if id, found := firstPanel(p, t); found && id == from.ID {
				return true
			}
		}
	}
	return false
}

// firstPanel is the first panel or source that a conductor meets on its way from
// a load, over runs, breakers and junctions.
func firstPanel(p *rules.Pass, from circuit.Term) (components.ID, bool) {
	c := p.Circuit
	start := c.Terms[from].Part
	for t := range c.Walk(func(*circuit.Link, circuit.Term) bool { return true }, from).Nearest() {
		q, _ := p.Doc.Part(c.Terms[t].Part)
		if q.ID == start {
			continue
		}
		switch q.Kind.Role {
		case components.Distributes, components.Supplies, components.Converts:
			return q.ID, true
		}
		if q.Kind == &components.Inlet || q.Kind == &components.TransferSwitch {
			return q.ID, true
		}
	}
	return "", false
}

// addCore gives the run that brings the hot the core that is missing.
func addCore(p *rules.Pass, q components.Part, port string, pole components.Pole) []rules.Fix {
	for _, r := range p.Doc.RunsAt(q.Ref(port)) {
		edit := r.Rerouted()
		edit.Cores = append(append([]components.Core{}, p.Doc.CoresOf(r)...), components.Core{From: pole, To: pole})
		if next, err := p.Doc.Apply(edit); err == nil && next != nil {
			return []rules.Fix{{Title: fmt.Sprintf("Bring %s along in %s", pole, r.ID), Edits: []components.Edit{edit}}}
		}
	}
	return nil
}
