package checks

import (
	"fmt"
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// NeverParallel keeps independent AC sources apart in every state, and with
// every source alive at once.
var NeverParallel = &rules.Rule{
	ID:    "transfer.never-parallel",
	Title: "Two AC sources can meet",
	Must:  "No switch position connects two independent sources to the same conductor. Two inverters push into one leg where both are told to be made and set for that (shares_output), and then as one source of both their powers.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.30(B), 551.31, 551.33", Says: "transfer equipment keeps the sources apart", Seen: rules.Memory},
	},
	Level:    rules.Danger,
	Explains: []string{"neutral.one-bond-per-state", "transfer.no-live-inlet-pins"},
	Check:    neverParallel,
}

func neverParallel(p *rules.Pass) {
	tell := func(c *circuit.Circuit, when string) {
		for _, m := range c.Meetings() {
			if m.A == m.B {
				p.Report(rules.Finding{
					At: string(m.A), Also: []string{c.Terms[m.At].String()},
					Message: fmt.Sprintf("Both legs of %s are joined at %s%s: a dead short of 240 V", m.A, c.Terms[m.At], when),
					Fixes:   unbridge(p),
				})
				continue
			}
			says := fmt.Sprintf("%s and %s feed the same conductor at %s%s: the weaker one is destroyed, and unplugged pins are live", m.A, m.B, c.Terms[m.At], when)
			if c.Positions[m.A] == circuit.Inverting && c.Positions[m.B] == circuit.Inverting {
				says = fmt.Sprintf("%s and %s push into one leg at %s%s, and are not told to be made for that: out of step they drive each other's output, and the weaker one is destroyed. Part them, or tell shares_output of both where their manual allows it and they are set and cabled as such a pair", m.A, m.B, c.Terms[m.At], when)
			}
			p.Report(rules.Finding{At: string(m.A), Also: []string{string(m.B)}, Message: says, Fixes: partFixes(p, m)})
		}
		for _, id := range c.Unsettled {
			if len(loopBack(c, id)) > 0 {
				continue // panel.no-source-loop
			}
			p.Report(rules.Finding{
				At:      string(id),
				Message: fmt.Sprintf("%s never settles%s: what it feeds comes back to its own input", id, when),
			})
		}
	}
	tell(p.Circuit, "")
	if !p.First() {
		return
	}
	all := components.State{Name: "every source at once", Generator: true, SoC: 0.5}
	for _, q := range p.Doc.Parts() {
		if q.Kind == &components.Shore && !q.Gone() {
			all.Shore = q.Word("service")
			break
		}
	}
	for _, bypass := range []bool{false, true} {
		all.Bypass = bypass
		tell(p.Circuit.In(all), " when both are alive")
	}
}

// partFixes take out the run that brings the second source to the first, where
// one run does it.
func partFixes(p *rules.Pass, m circuit.Meeting) []rules.Fix {
	var fixes []rules.Fix
	for _, id := range []components.ID{m.A, m.B} {
		if fix, ok := exchanged(p, id); ok {
			fixes = append(fixes, fix)
		}
	}
	for _, r := range p.Doc.RunsOf(m.B) {
		if r.From.Part == m.B && (r.From.Port == "ac-out" || r.From.Port == "out") {
			fixes = append(fixes, rules.Fix{Title: fmt.Sprintf("Disconnect %s from %s until a transfer switch stands between", r.ID, r.To), Edits: []components.Edit{components.RemoveRun{ID: r.ID}}})
		}
		if r.To.Part == m.B && (r.To.Port == "ac-out" || r.To.Port == "out") {
			fixes = append(fixes, rules.Fix{Title: fmt.Sprintf("Disconnect %s from %s until a transfer switch stands between", r.ID, r.From), Edits: []components.Edit{components.RemoveRun{ID: r.ID}}})
		}
	}
	return fixes
}

// unbridge takes the jumper between the legs out of every panel that has one.
func unbridge(p *rules.Pass) []rules.Fix {
	var fixes []rules.Fix
	for _, q := range p.Doc.Parts() {
		if q.Kind == &components.Panel && q.Is("legs_bridged") && !q.Gone() {
			fixes = append(fixes, rules.Fix{Title: "Take the leg jumper out of " + string(q.ID), Edits: []components.Edit{set(q.ID, "legs_bridged", components.Yes(false))}})
		}
	}
	return fixes
}

// exchanged changes what ends at the AC input of an inverter/charger with what ends at its
// output, where the output leads to an outside supply and the input to none.
func exchanged(p *rules.Pass, id components.ID) (rules.Fix, bool) {
	q, _ := p.Doc.Part(id)
	if q.Kind != &components.InverterCharger || !leadsToSupply(p, q, "ac-out") || leadsToSupply(p, q, "ac-in") {
		return rules.Fix{}, false
	}
	in, out := q.Ref("ac-in"), q.Ref("ac-out")
	_, a, _ := p.Doc.Port(in)
	_, b, _ := p.Doc.Port(out)
	if !slices.Equal(a.Poles, b.Poles) || len(p.Doc.RunsAt(in)) == 0 {
		return rules.Fix{}, false
	}
	var edits []components.Edit
	for at, to := range map[components.PortRef]components.PortRef{in: out, out: in} {
		for _, r := range p.Doc.RunsAt(at) {
			if r.Other(at) == to {
				return rules.Fix{}, false
			}
			edit := r.Rerouted()
			edit.Path, edit.Cores = nil, p.Doc.CoresOf(r)
			if edit.From == at {
				edit.From = to
			} else {
				edit.To = to
			}
			edits = append(edits, edit)
		}
	}
	slices.SortFunc(edits, func(a, b components.Edit) int {
		return components.CompareIDs(a.(components.Reroute).ID, b.(components.Reroute).ID)
	})
	return rules.Fix{Title: fmt.Sprintf("Exchange what ends at the input and at the output of %s", id), Edits: edits}, true
}

// leadsToSupply tells whether hots lead from a port to an inlet, a site or a generator,
// whatever is switched, and through no other part that gives.
func leadsToSupply(p *rules.Pass, q components.Part, port string) bool {
	c := p.Circuit
	for _, pole := range []components.Pole{components.L, components.L1, components.L2} {
		t, ok := c.At(q.ID, port, pole)
		if !ok {
			continue
		}
		for o := range c.Walk(func(l *circuit.Link, to circuit.Term) bool { return l.Part != q.ID && c.Terms[to].Pole.Hot() }, t).Nearest() {
			switch s, _ := p.Doc.Part(c.Terms[o].Part); s.Kind {
			case &components.Inlet, &components.Shore, &components.Generator:
				return true
			}
		}
	}
	return false
}
