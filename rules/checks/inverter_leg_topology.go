package checks

import (
	"fmt"
	"strings"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// LegTopology asks that an inverter's output and the panel it feeds agree.
var LegTopology = &rules.Rule{
	ID:    "inverter.leg-topology",
	Title: "The inverter's legs do not suit the panel it feeds",
	Must:  "An inverter of one 120 V leg feeds a 120 V panel of its own. One that feeds both bars of a panel keeps them 240 V apart, or no two circuits of that panel share a neutral; two inverters, one a bar, hold their legs apart together.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "710.15(C)", Says: "a single 120 V supply on both bars: no multiwire circuits, no 240 V outlets", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2023", Clause: "210.4(A)", Says: "a multiwire circuit has a voltage between its hots", Seen: rules.Published},
	},
	Level: rules.Danger,
	Check: legTopology,
}

func legTopology(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.Panel || q.Gone() {
			continue
		}
		a, okA := p.Circuit.At(q.ID, "bar", components.L1)
		b, okB := p.Circuit.At(q.ID, "bar", components.L2)
		if !okA || !okB {
			continue
		}
		first, okA := inverterAt(p, a)
		second, okB := inverterAt(p, b)
		switch {
		case okA && okB && first.Part != second.Part:
			unsteadyLegs(p, q, first.Part, second.Part)
		case okA && okB && p.Circuit.PhaseOf(a, b) == circuit.InPhase:
			if shared := sharedInPanel(p, q); len(shared) > 0 {
				p.Report(rules.Finding{
					At: string(q.ID), Also: []string{string(first.Part)},
					Message: fmt.Sprintf("%s feeds both bars of %s in phase, and %s share a neutral: it carries the sum, and no breaker watches it", first.Part, q.ID, strings.Join(shared, " and ")),
					Working: []string{"between the bars: 0 V; a shared neutral carries I1 + I2 in place of I1 − I2"},
					Fixes:   splitNeutrals(p, q),
				})
			}
		case okA != okB && (okA && !p.Circuit.Live(b) || okB && !p.Circuit.Live(a)):
			leg, src := "L2", first.Part
			if okB {
				leg, src = "L1", second.Part
			}
			if dead := deadCircuits(p, q, leg); dead > 0 {
				p.Report(rules.Finding{
					At: string(q.ID), Also: []string{string(src)}, Level: rules.Advice,
					Message: fmt.Sprintf("While %s inverts, leg %s of %s is dead, with %d of its circuits: move what must run to the other leg, or to a panel of its own", src, leg, q.ID, dead),
				})
			}
		}
	}
}

// inverterAt is the inverter that feeds a bar in this state.
func inverterAt(p *rules.Pass, t circuit.Term) (circuit.Source, bool) {
	for _, s := range p.Circuit.Feeds(t) {
		if p.Circuit.Positions[s.Part] == circuit.Inverting {
			return s, true
		}
	}
	return circuit.Source{}, false
}

// unsteadyLegs speaks where two inverters feed one bar each and something hangs
// between the bars: nothing in the drawing holds their legs together.
func unsteadyLegs(p *rules.Pass, q components.Part, a, b components.ID) {
	between := sharedInPanel(p, q)
	for i, c := range q.Rows("circuits") {
		if c["leg"].Str() == "both" && len(between) == 0 {
			between = append(between, circuitName(c, i))
		}
	}
	if len(between) == 0 {
		return
	}
	one, _ := p.Doc.Part(a)
	two, _ := p.Doc.Part(b)
	if one.Is("in_step") && two.Is("in_step") {
		return
	}
	if _, from := one.Value("in_step"); from == components.Missing {
		p.Unchecked(string(a), fmt.Sprintf("in_step of %s is not told: %s and %s feed one bar each of %s, and %s hangs between them. See whether a cable joins the two units and they are set as one pair 180° apart", a, a, b, q.ID, strings.Join(between, " and ")))
		return
	}
	p.Report(rules.Finding{
		At: string(q.ID), Also: []string{string(a), string(b)},
		Message: fmt.Sprintf("%s and %s feed one bar each of %s and are not held in step, but %s hangs between the bars: its voltage and the neutral's current wander", a, b, q.ID, strings.Join(between, " and ")),
		Working: []string{"between the bars: anything from 0 to 240 V; in a shared neutral: anything from I1 − I2 to I1 + I2"},
		Fixes: []rules.Fix{{Title: fmt.Sprintf("Join %s and %s as a pair 180° apart", a, b),
			Edits: []components.Edit{set(a, "in_step", components.Yes(true)), set(b, "in_step", components.Yes(true))}}},
	})
}

func circuitName(row components.Spec, i int) string {
	if l := row["label"].Str(); l != "" {
		return fmt.Sprintf("circuit %d (%s)", i+1, l)
	}
	return fmt.Sprintf("circuit %d", i+1)
}

// deadCircuits counts the circuits of a leg that something hangs on.
func deadCircuits(p *rules.Pass, q components.Part, leg string) int {
	n := 0
	for i, c := range q.Rows("circuits") {
		if l := c["leg"].Str(); (l == leg || l == "both") && len(p.Doc.RunsAt(q.Ref(fmt.Sprintf("c%d", i+1)))) > 0 {
			n++
		}
	}
	return n
}
