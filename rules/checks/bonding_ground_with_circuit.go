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
	partedFrom(p, components.G, groundBeside, func(r components.Run, way cable) string {
		return fmt.Sprintf("No ground goes with the hot of %s: those of %s and %s meet over a chassis stud or another circuit", r.ID, way.From, way.To)
	})
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
