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
	Must: "What closes a switch between a starting battery and a house bank is told, and each relay is closed in one state and open in another. " +
		"Where a project tells its states, each site supply, generator, array and alternator is on in one of them, each inverter inverts in one, one is off grid where a bank is drawn, one has an adapter where an inlet has two legs, and one the bypass where a switch turned by hand offers it: what no state has is never solved, and no rule looks at it. States that are not told are worked out, and are all there.",
	Basis: []rules.Basis{{Source: "what is on in no state is not checked", Seen: rules.Practice}},
	Level: rules.Violation, Stateless: true,
	Check: noState,
}

func noState(p *rules.Pass) {
	relays(p)
	own := p.Doc.States
	if len(own) == 0 {
		return
	}
	neverInverts(p)
	neverPlugged(p)
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

// neverPlugged finds a site supply whose cord stands at an inlet beside another's and is in
// in no state.
func neverPlugged(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.Inlet || q.Gone() {
			continue
		}
		plugs := p.Doc.Plugs(q.Ref("site"))
		for _, plug := range plugs {
			in := func(s components.State) bool {
				at, ok := s.PluggedIn(p.Doc, plugs)
				return ok && at == plug && s.Shore != ""
			}
			if slices.ContainsFunc(p.Doc.States, in) {
				continue
			}
			f := rules.Finding{
				At: string(plug.Shore), Also: []string{string(q.ID)},
				Message: fmt.Sprintf("%s is plugged in at %s in none of the project's states, as one plug alone is in at a time: nothing is solved or checked with it. Add a state that names its service, or leaves the other out (off)", plug.Shore, q.ID),
				Working: []string{fmt.Sprintf("states with %s plugged in: 0 of %d", plug.Shore, len(p.Doc.States))},
			}
			for _, s := range p.Doc.WorkedOut() {
				if in(s) {
					s.Name = freeState(p.Doc.States, s.Name)
					f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Add the state %s", s.Name), Edits: []components.Edit{components.SetStates{States: append(slices.Clone(p.Doc.States), s)}}}}
					break
				}
			}
			p.Report(f)
		}
	}
}

// relays finds a relay that stands the same in every state, and a switch between a starting
// battery and a house bank of which nothing tells whether it is one.
func relays(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		switch {
		case q.Kind != &components.DCSwitch || q.Gone():
		case components.IsRelay(q.Told("closed_by")):
			standsStill(p, q)
		case q.Word("closed_by") == "" && firstBetweenBanks(p, q):
			p.Unchecked(string(q.ID), fmt.Sprintf("what closes %s is not known, and it joins a starting battery to the house bank: a hand (closed_by: %s), a relay with the engine (%s), or one that senses a charge on either side (%s). Until it is told the two banks are solved as one", q.ID, components.ByHand, components.WithEngine, components.WhileCharged))
		}
	}
}

// firstBetweenBanks tells whether a switch that is not told of is the first such on a way
// from a starting battery to a house battery on which no relay stands.
func firstBetweenBanks(p *rules.Pass, sw components.Part) bool {
	posts := postsOf(p)
	line, okA := p.Circuit.At(sw.ID, "line", components.Pos)
	load, okB := p.Circuit.At(sw.ID, "load", components.Pos)
	if !okA || !okB || len(posts[true]) == 0 {
		return false
	}
	reached := func(from []circuit.Term, passes func(closedBy string) bool) map[circuit.Term]bool {
		return p.Circuit.Walk(func(o *circuit.Link, to circuit.Term) bool {
			q, _ := p.Doc.Part(o.Part)
			return o.Closed && !o.Bond && o.Part != sw.ID && p.Circuit.Terms[to].Pole == components.Pos && (q.Kind != &components.DCSwitch || passes(q.Word("closed_by")))
		}, from...).Reached()
	}
	byHand := func(closedBy string) bool { return closedBy == components.ByHand }
	start := reached(posts[true], byHand)
	if start[line] == start[load] {
		return false
	}
	house := reached(posts[false], func(closedBy string) bool { return closedBy == "" || byHand(closedBy) })
	return start[line] && house[load] || start[load] && house[line]
}

// standsStill tells of a relay that no state moves.
func standsStill(p *rules.Pass, q components.Part) {
	at := p.Circuit.Positions[q.ID]
	if slices.ContainsFunc(p.All(), func(s *rules.Pass) bool { return s.Circuit.Positions[q.ID] != at }) {
		return
	}
	moved := p.State
	moved.Engine = at == circuit.Open
	if moved.Engine {
		moved.Name = "Driving"
	} else {
		moved.Name, moved.Shore, moved.Generator, moved.Sun = "Off grid", "", false, 0
	}
	f := rules.Finding{
		At:      string(q.ID),
		Message: fmt.Sprintf("%s is %s in every state: nothing is solved or checked with it otherwise. Add a state in which it moves, or tell what closes it", q.ID, at),
		Working: []string{fmt.Sprintf("states in which %s is %s: %d of %d", q.ID, at, len(p.All()), len(p.All()))},
	}
	if p.Circuit.In(moved).Positions[q.ID] != at {
		all := slices.Clone(p.Doc.Operating())
		moved.Name = freeState(all, moved.Name)
		f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Add the state %s", moved.Name), Edits: []components.Edit{components.SetStates{States: append(all, moved)}}}}
	}
	p.Report(f)
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
			if at := of(&components.Alternator, every); at != "" {
				return at, "the engine running"
			}
			return of(&components.DCSwitch, func(q components.Part) bool { return q.Word("closed_by") == components.WithEngine }), "the engine running"
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
