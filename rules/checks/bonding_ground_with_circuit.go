package checks

import (
	"fmt"
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// GroundWithCircuit asks for the ground of a circuit beside its hot, where both ends
// have one and only the frame's leads or another circuit join them.
var GroundWithCircuit = &rules.Rule{
	ID:    "bonding.ground-with-circuit",
	Title: "The ground does not go with its circuit",
	Must:  "The ground of a circuit lies in one cable or raceway with its hot. A way round by a chassis stud or by another circuit's ground is no such ground: a fault's current goes the long way and opens the breaker late, and who takes off the stud's nut or the other circuit leaves the case without.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "300.3(B)", Says: "the equipment grounding conductor in one cable or raceway with the circuit's conductors", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2023", Clause: "250.134, 551.54(A)", Says: "the same, for fixed equipment and in a vehicle", Seen: rules.Memory},
		{Source: "IEC 60364-5-54", Clause: "543.6", Says: "protective conductors in the wiring system of the lines, or right beside it", Seen: rules.Memory},
	},
	Level: rules.Violation, Stateless: true,
	Check: groundWithCircuit,
}

func groundWithCircuit(p *rules.Pass) {
	for _, r := range p.Doc.Runs() {
		without := func(r components.Run) bool { return hotWithout(p.Doc, r, components.G) }
		if r.Gone() || !without(r) {
			continue
		}
		way := cableOf(p, r)
		a, okA := p.Circuit.Term(way.From.At(components.G))
		b, okB := p.Circuit.Term(way.To.At(components.G))
		if !way.first(r, without) || !okA || !okB || p.Circuit.Net(a) != p.Circuit.Net(b) || groundBeside(p, way, a, b) {
			continue // an end without a ground, and one that leads nowhere, are other rules'
		}
		f := rules.Finding{
			At:      string(r.ID),
			Also:    []string{string(way.From.Part), string(way.To.Part)},
			Message: fmt.Sprintf("No ground goes with the hot of %s: those of %s and %s meet over a chassis stud or another circuit", r.ID, way.From, way.To),
			Working: []string{fmt.Sprintf("ground conductors from %s to %s beside it: 0", way.From, way.To)},
		}
		if edits, ok := way.bring(p, components.G); ok {
			f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Bring G along in %s", r.ID), Edits: edits}}
		}
		p.Report(f)
	}
}

// groundBeside tells whether grounds join two terminals that are no other circuit's
// and do not lead over the frame.
func groundBeside(p *rules.Pass, own cable, a, b circuit.Term) bool {
	_, joined := groundWay(p, own, a, b)
	return joined
}

// groundWay is that way, a link after the other.
func groundWay(p *rules.Pass, own cable, a, b circuit.Term) (links []int32, joined bool) {
	c := p.Circuit
	return c.Walk(func(l *circuit.Link, o circuit.Term) bool {
		q, _ := p.Doc.Part(c.Terms[o].Part)
		r, isRun := p.Doc.Run(l.Run)
		others := isRun && !own.has(r) && slices.ContainsFunc(p.Doc.CoresOf(r), func(c components.Core) bool { return c.From.Hot() })
		return c.Terms[o].Pole == components.G && q.Kind != &components.Chassis && !others
	}, a).Way(b)
}
