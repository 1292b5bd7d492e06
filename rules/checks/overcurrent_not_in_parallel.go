package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// NotInParallel finds fuses or breakers that stand side by side between the same two
// conductors.
var NotInParallel = &rules.Rule{
	ID:    "overcurrent.not-in-parallel",
	Title: "Two fuses or breakers stand side by side",
	Must:  "No two fuses or breakers join the same two conductors: together they let through the sum of their ratings, each carries what the other's contact leaves it, and with one open the circuit is still live.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "240.8", Says: "not in parallel, unless factory assembled and listed as a unit", Seen: rules.Published},
	},
	Level: rules.Violation, Stateless: true,
	Check: notInParallel,
}

func notInParallel(p *rules.Pass) {
	c := p.Circuit
	apart := c.Nets(func(l *circuit.Link) bool { return l.Closed && !l.Bond && !l.Protects() })
	first := map[[2]circuit.Term]circuit.Device{}
	told := map[string]bool{}
	for i, d := range c.Devices() {
		l := c.Links[i]
		if !l.Join.APole.Hot() && l.Join.APole != components.Pos || told[d.Address()] {
			continue
		}
		ends := [2]circuit.Term{min(apart[l.A], apart[l.B]), max(apart[l.A], apart[l.B])}
		other, met := first[ends]
		if !met {
			first[ends] = d
			continue
		}
		if ends[0] == ends[1] || other.At() == d.At() {
			continue
		}
		told[d.Address()] = true
		f := rules.Finding{
			At: d.Address(), Also: []string{other.Address()},
			Message: fmt.Sprintf("%s and %s join the same two conductors: they let through the sum of their ratings, and with one open the circuit is still live", other, d),
			Fixes:   apartAgain(p, l, d),
		}
		if a, b := other.RatingA, d.RatingA; a.Known() && b.Known() {
			f.Working = []string{fmt.Sprintf("%s A + %s A = %s A", numText(a.Value), numText(b.Value), numText(a.Value+b.Value))}
		}
		p.Report(f)
	}
}

// apartAgain takes the run at a device's load side off, where there is one alone.
func apartAgain(p *rules.Pass, l circuit.Link, d circuit.Device) []rules.Fix {
	for _, t := range []circuit.Term{l.B, l.A} {
		runs := p.Doc.RunsAt(p.Circuit.Terms[t].PortRef)
		if len(runs) == 1 {
			return []rules.Fix{{Title: fmt.Sprintf("Take %s off %s", runs[0].ID, d), Edits: []components.Edit{components.RemoveRun{ID: runs[0].ID}}}}
		}
	}
	return nil
}
