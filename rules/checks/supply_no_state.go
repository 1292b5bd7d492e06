package checks

import (
	"fmt"
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// NoState finds a source that none of the project's own states uses.
var NoState = &rules.Rule{
	ID:    "supply.no-state",
	Title: "A source is on in no state",
	Must:  "Where a project tells its states, each site supply, generator, array and alternator is on in one of them, each inverter inverts in one, one is off grid where a bank is drawn, one has an adapter where an inlet has two legs, and one the bypass where a switch turned by hand offers it: what no state has is never solved, and no rule looks at it. States that are not told are worked out, and are all there.",
	Basis: []rules.Basis{{Source: "what is on in no state is not checked", Seen: rules.Practice}},
	Level: rules.Violation, Stateless: true,
	Check: noState,
}

func noState(p *rules.Pass) {
	own := p.Doc.States
	if len(own) == 0 {
		return
	}
	neverInverts(p)
	seen := map[components.ID]bool{}
	for _, s := range p.Doc.WorkedOut() {
		at, what := missingFrom(p.Doc, own, s)
		if at == "" || seen[at] {
			continue
		}
		seen[at] = true
		s.Name = freeState(own, s.Name)
		p.Report(rules.Finding{
			At:      string(at),
			Message: fmt.Sprintf("None of the project's states has %s: nothing is solved or checked that way. Add a state for it", what),
			Working: []string{fmt.Sprintf("states with %s: 0 of %d", what, len(own))},
			Fixes:   []rules.Fix{{Title: fmt.Sprintf("Add the state %s", s.Name), Edits: []components.Edit{components.SetStates{States: append(slices.Clone(own), s)}}}},
		})
	}
}

// neverInverts finds an inverter that the states keep off wherever it would feed the rig.
func neverInverts(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.Inverter && q.Kind != &components.InverterCharger || q.Gone() {
			continue
		}
		off := -1
		for i, s := range p.All() {
			if s.Circuit.Positions[q.ID] == circuit.Inverting {
				off = -1
				break
			}
			if off < 0 && s.State.Shore == "" && !s.State.Generator && slices.Contains(s.State.Off, q.ID) {
				off = i
			}
		}
		if off >= 0 {
			p.Report(rules.Finding{
				At:      string(q.ID),
				Message: fmt.Sprintf("%s inverts in none of the project's states: what it feeds by itself, and its bond, are not checked", q.ID),
				Working: []string{fmt.Sprintf("states in which %s inverts: 0 of %d", q.ID, len(p.All()))},
				Fixes:   []rules.Fix{switchOn(p, q.ID, off)},
			})
		}
	}
}

// missingFrom names the part and the use that a state has and none of a project's own.
func missingFrom(doc *components.Document, own []components.State, s components.State) (at components.ID, what string) {
	has := func(is func(components.State) bool) bool { return slices.ContainsFunc(own, is) }
	of := func(kind *components.Kind, fits func(components.Part) bool) components.ID {
		for _, q := range doc.Parts() {
			if q.Kind == kind && !q.Gone() && fits(q) {
				return q.ID
			}
		}
		return ""
	}
	every := func(components.Part) bool { return true }
	adapter := slices.Contains(components.Adapters, s.Shore)
	switch {
	case s.Bypass:
		if !has(func(o components.State) bool { return o.Bypass }) {
			return of(&components.TransferSwitch, func(q components.Part) bool { return q.Is("manual") }), "its switch turned to the bypass"
		}
	case adapter:
		if !has(func(o components.State) bool { return slices.Contains(components.Adapters, o.Shore) }) {
			for _, q := range doc.Parts() {
				if q.Kind == &components.Inlet && !q.Gone() && q.Figure("rating_a").Value == 50 {
					return q.ID, "an adapter to a smaller outlet, which puts both legs in phase"
				}
			}
		}
	case s.Shore != "":
		if !has(func(o components.State) bool { return o.Shore != "" && !slices.Contains(components.Adapters, o.Shore) }) {
			return of(&components.Shore, every), "the site supply plugged in"
		}
	case s.Generator:
		if !has(func(o components.State) bool { return o.Generator }) {
			return of(&components.Generator, every), "the generator running"
		}
	case s.Engine:
		if !has(func(o components.State) bool { return o.Engine }) {
			return of(&components.Alternator, every), "the engine running"
		}
	case s.Sun > 0:
		if !has(func(o components.State) bool { return o.Sun > 0 }) {
			return of(&components.SolarArray, every), "the sun shining"
		}
	case !has(func(o components.State) bool { return o.Shore == "" && !o.Generator }):
		return of(&components.Battery, every), "the rig off grid"
	}
	return "", ""
}
