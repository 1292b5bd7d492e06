package checks

import (
	"fmt"
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// WithItsHot asks for the neutral of a circuit beside its hot, where both ends have one
// and only another circuit's conductors join them.
var WithItsHot = &rules.Rule{
	ID:    "neutral.with-its-hot",
	Title: "The neutral does not go with its hot",
	Must:  "The neutral of a circuit lies in one cable or raceway with its hot. Where it comes back another way, by a unit's other terminals or in another circuit's cable, that way carries the current of both with no breaker of its size, the hot alone heats the steel that it passes through, and whoever opens the other circuit leaves the hot without its return.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "300.3(B)", Says: "all conductors of a circuit, its neutral and its ground among them, in one cable or raceway", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2023", Clause: "300.20(A)", Says: "all of them together where they pass through steel, which heats otherwise", Seen: rules.Memory},
	},
	Level: rules.Violation,
	Check: withItsHot,
}

func withItsHot(p *rules.Pass) {
	partedFrom(p, components.N, neutralBeside, func(r components.Run, way cable) string {
		return fmt.Sprintf("No neutral goes with the hot of %s: those of %s and %s meet another way, and the current comes back over it", r.ID, way.From, way.To)
	})
}

// partedFrom finds the cables that bring a hot without a pole that both their ends have,
// where it joins the two but not beside the hot. An end without the pole, and one that
// leads nowhere, are other rules'.
func partedFrom(p *rules.Pass, pole components.Pole, beside func(p *rules.Pass, way cable, a, b circuit.Term) bool, message func(r components.Run, way cable) string) {
	without := func(r components.Run) bool { return hotWithout(p.Doc, r, pole) }
	for _, r := range p.Doc.Runs() {
		if r.Gone() || !without(r) {
			continue
		}
		way := cableOf(p, r)
		a, okA := p.Circuit.Term(way.From.At(pole))
		b, okB := p.Circuit.Term(way.To.At(pole))
		if !way.first(r, without) || !okA || !okB || p.Circuit.Net(a) != p.Circuit.Net(b) || beside(p, way, a, b) {
			continue
		}
		f := rules.Finding{
			At:      string(r.ID),
			Also:    []string{string(way.From.Part), string(way.To.Part)},
			Message: message(r, way),
			Working: []string{fmt.Sprintf("%s conductors from %s to %s beside it: 0", class(pole), way.From, way.To)},
		}
		if edits, ok := way.bring(p, pole); ok {
			f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Bring %s along in %s", pole, r.ID), Edits: edits}}
		}
		p.Report(f)
	}
}

// hotWithout tells whether a run has a mains hot in it and not another pole.
func hotWithout(doc *components.Document, r components.Run, pole components.Pole) bool {
	cores := doc.CoresOf(r)
	return slices.ContainsFunc(cores, func(c components.Core) bool { return c.From.Hot() && c.To.Hot() }) &&
		!slices.ContainsFunc(cores, func(c components.Core) bool { return c.From == pole || c.To == pole })
}

// neutralBeside tells whether neutrals join two terminals that no other circuit's hot goes
// with and that do not pass through a unit. A circuit of the same panel is none: the two
// share their neutral, and overcurrent.common-trip looks at them.
func neutralBeside(p *rules.Pass, own cable, a, b circuit.Term) bool {
	c := p.Circuit
	_, joined := c.Walk(func(l *circuit.Link, o circuit.Term) bool {
		if c.Terms[o].Pole != components.N || !l.Closed {
			return false
		}
		r, isRun := p.Doc.Run(l.Run)
		if !isRun {
			q, _ := p.Doc.Part(l.Part)
			return q.Kind == nil || q.Kind.Role != components.Converts
		}
		return own.has(r) || ofOneCircuit(p.Doc, own, cableOf(p, r)) || !slices.ContainsFunc(p.Doc.CoresOf(r), func(core components.Core) bool { return core.From.Hot() })
	}, a).Way(b)
	return joined
}

// ofOneCircuit tells whether two cables join the same two terminals, or leave one panel.
func ofOneCircuit(doc *components.Document, a, b cable) bool {
	if a.From == b.From && a.To == b.To || a.From == b.To && a.To == b.From {
		return true
	}
	for _, end := range []components.PortRef{a.From, a.To} {
		q, _ := doc.Part(end.Part)
		if q.Kind == &components.Panel && (b.From.Part == q.ID || b.To.Part == q.ID) && end.Port != "main" && b.From.Port != "main" && b.To.Port != "main" {
			return true
		}
	}
	return false
}
