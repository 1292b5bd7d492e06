package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/tables"
)

// GeneratorFeeder asks for a breaker on the conductors that leave a generator.
var GeneratorFeeder = &rules.Rule{
	ID:    "generator.feeder-protection",
	Title: "Nothing protects the generator's feeder",
	Must:  "The conductors that leave a generator have an overcurrent device, rated to them, and a disconnect within reach.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2020", Clause: "445.12, 445.18", Says: "a generator has overcurrent protection and a disconnect", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.31(A), 551.31(C)", Says: "the feeder of an on-board alternate source is protected", Seen: rules.Memory},
	},
	Level: rules.Danger, Stateless: true,
	Check: generatorFeeder,
}

// GeneratorLeads sizes the conductors ahead of a generator's first device.
var GeneratorLeads = &rules.Rule{
	ID:    "generator.leads-115-percent",
	Title: "The generator's leads are too small",
	Must:  "Conductors from a generator's terminals to the first overcurrent device carry at least 115 % of its nameplate current.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "445.13", Says: "115 % of the nameplate current", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.30(E)", Says: "stranded, in listed flexible conduit to the first termination (not checked)", Seen: rules.Memory},
	},
	Set:   components.USVehicle,
	Level: rules.Violation, OnePerPlace: true, Stateless: true,
	Check: generatorLeads,
}

func generatorFeeder(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.Generator || q.Gone() || len(p.Doc.RunsAt(q.Ref("out"))) == 0 {
			continue
		}
		own, origin := q.Value("output_breaker")
		hasOwn := origin != components.Missing && own.Truth()
		if origin == components.Missing || hasOwn && !q.Figure("breaker_a").Known() {
			p.Unchecked(string(q.ID), fmt.Sprintf("breaker_a of %s is not known, so its cable cannot be checked: read it off the breaker on the set, or tell output_breaker: false where there is none", q.ID))
			continue
		}
		if !hasOwn {
			unprotectedLeads(p, q)
		}
	}
}

// unprotectedLeads follows the leads of a set without a breaker of its own.
func unprotectedLeads(p *rules.Pass, q components.Part) {
	told := map[components.ID]bool{}
	for _, pole := range []components.Pole{components.L, components.L1, components.L2} {
		from, ok := p.Circuit.At(q.ID, "out", pole)
		if !ok {
			continue
		}
		_, _, open := toDevices(p, from)
		for _, t := range open {
			end := p.Circuit.Terms[t].Part
			if told[end] {
				continue
			}
			told[end] = true
			p.Report(rules.Finding{
				At: string(q.ID), Also: []string{string(end)},
				Message: fmt.Sprintf("%s has no breaker of its own, and none stands between it and %s: a short there burns the cable until the engine stops", q.ID, end),
				Working: []string{fmt.Sprintf("overcurrent devices from %s to %s: 0", q.ID, end)},
				Fixes:   generatorBreaker(p, q),
			})
		}
	}
}

// leadRating is the breaker for a set's leads: the standard rating at its
// nameplate current, not above what any of them carries.
func leadRating(p *rules.Pass, q components.Part) (float64, bool) {
	amps, _, ok := nameplateAmps(p, q)
	if !ok {
		return 0, false
	}
	most, ok := tables.StandardAtLeast(amps, false)
	for _, pole := range []components.Pole{components.L, components.L1, components.L2} {
		from, there := p.Circuit.At(q.ID, "out", pole)
		if !there {
			continue
		}
		runs, _, _ := toDevices(p, from)
		for _, i := range runs {
			core := p.Circuit.Links[i].Core.From
			r, _ := p.Doc.Run(p.Circuit.Links[i].Run)
			a, err := runAmpacity(p, r, core)
			if err != nil {
				return 0, false
			}
			most = min(most, a.Usable)
			if size, told := r.Size(core); told {
				if c, capped := smallCap(p, r, size); capped {
					most = min(most, c)
				}
			}
		}
	}
	if !ok {
		return 0, false
	}
	return breakerAtMost(most)
}

// generatorBreaker puts a breaker at the set.
func generatorBreaker(p *rules.Pass, q components.Part) []rules.Fix {
	ref := q.Ref("out")
	var fed []components.Run
	hots := 0
	for _, r := range p.Doc.RunsAt(ref) {
		n := 0
		for _, core := range p.Doc.CoresOf(r) {
			if core.From.Hot() {
				n++
			}
		}
		if n > 0 {
			fed, hots = append(fed, r), n
		}
	}
	if len(fed) != 1 {
		return nil
	}
	r := fed[0]
	_, near, _ := p.Doc.Port(ref)
	_, far, _ := p.Doc.Port(r.Other(ref))
	if far.Has(components.L) != near.Has(components.L) {
		return nil // the run changes poles on the way
	}
	rating, ok := leadRating(p, q)
	if !ok {
		return nil
	}
	breaker := components.Part{ID: p.Doc.FreeID("CB"), Kind: &components.ACBreaker, At: towards(p.Doc, ref, r.Other(ref)),
		Spec: components.Spec{"rating_a": components.Num(rating), "hots": components.Num(float64(hots))}}
	line, load := "line", "load"
	if r.From != ref {
		line, load = load, line
	}
	return []rules.Fix{{Title: fmt.Sprintf("Put a %s A breaker at %s", numText(rating), q.ID), Edits: insert(p.Doc, r, breaker, line, load, 1)}}
}

func generatorLeads(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.Generator || q.Gone() || q.Is("output_breaker") {
			continue
		}
		if _, origin := q.Value("output_breaker"); origin == components.Missing {
			continue // generator.feeder-protection asks
		}
		amps, working, ok := nameplateAmps(p, q)
		for _, pole := range []components.Pole{components.L, components.L1, components.L2} {
			from, there := p.Circuit.At(q.ID, "out", pole)
			if !there {
				continue
			}
			runs, _, _ := toDevices(p, from)
			for _, i := range runs {
				l := p.Circuit.Links[i]
				r, _ := p.Doc.Run(l.Run)
				if !ok {
					p.Unchecked(string(q.ID), fmt.Sprintf("rating_va of %s is not known, so its leads cannot be checked: read it off the nameplate", q.ID))
					return
				}
				holdLead(p, q, r, pole, amps, working)
			}
		}
	}
}

func holdLead(p *rules.Pass, q components.Part, r components.Run, pole components.Pole, amps float64, working string) {
	a, err := runAmpacity(p, r, pole)
	if err != nil {
		p.Unchecked(string(r.ID), err.Error())
		return
	}
	need := 1.15 * amps
	if a.Usable >= need*0.9999 {
		return
	}
	f := rules.Finding{
		At: string(r.ID), Also: []string{string(q.ID)},
		Message: fmt.Sprintf("%s (%s) is good for %s A; the leads of %s ahead of its first breaker must carry %s A", r.ID, r.Told("size"), numText(a.Usable), q.ID, numText(need)),
		Working: append(append([]string{working}, a.Working...), fmt.Sprintf("115 %% × %s A = %s A > %s A", numText(amps), numText(need), numText(a.Usable))),
		RestsOn: a.RestsOn,
	}
	if size, ok := sizeFor(p, r, pole, need); ok {
		f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Replace %s by %s", r.ID, size), Edits: []components.Edit{set(r.ID, "size", components.Str(size.String()))}}}
	}
	p.Report(f)
}

// nameplateAmps is the rated current of a set per hot, in amperes.
func nameplateAmps(p *rules.Pass, q components.Part) (amps float64, working string, ok bool) {
	va := q.Figure("rating_va")
	if !va.Known() {
		return 0, "", false
	}
	volts := 2 * p.Doc.MainsVolts()
	if q.Word("legs") == "one" || q.Word("legs") == "" {
		volts /= 2
	}
	amps = va.Value / volts
	return amps, fmt.Sprintf("nameplate %s VA ÷ %s V = %s A a hot", numText(va.Value), numText(volts), numText(amps)), true
}
