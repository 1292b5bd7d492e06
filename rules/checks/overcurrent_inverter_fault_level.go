package checks

import (
	"fmt"

	"rigline/rules"
	"rigline/rules/circuit"
)

// InverterFault asks that an inverter trips the breakers behind it, or gives up by
// itself in time.
var InverterFault = &rules.Rule{
	ID:    "overcurrent.inverter-fault-level",
	Title: "The inverter is too weak to trip a breaker",
	Must:  "While inverting, the inverter pushes five times a breaker's rating into a short, or shuts down within 5 s, or the breaker has ground-fault protection. Where its maker says nothing about a short, this rule cannot look.",
	Basis: []rules.Basis{
		{Source: "UL 458 (2015), rationale", Says: "low fault current of inverters", Seen: rules.Published},
		{Source: "IEC 60364-5-55", Clause: "551.5", Says: "protection works from every source", Seen: rules.Memory},
		{Source: "five times the rating for a breaker's quick trip, 5 s", Seen: rules.Practice},
	},
	Level: rules.Advice,
	Check: inverterFault,
}

const shutdownS = 5.0

func inverterFault(p *rules.Pass) {
	for _, inv := range p.Doc.Parts() {
		fault, shut := inv.Figure("fault_a"), inv.Figure("fault_s")
		if inv.Gone() || p.Circuit.Positions[inv.ID] != circuit.Inverting || !fault.Known() || shut.Known() && shut.Value <= shutdownS {
			continue
		}
		worst := circuit.Device{}
		for _, q := range p.Doc.Parts() {
			if q.Gone() || usesPort(q) == "" {
				continue
			}
			for _, pole := range poles(q) {
				t, ok := p.Circuit.At(q.ID, usesPort(q), pole)
				if !ok {
					continue
				}
				f, ok := loosestAhead(p, t)
				if ok && f.Source.Part == inv.ID && f.Last.RatingA.Known() && !f.Last.GFCI && f.Last.RatingA.Value > worst.RatingA.Value {
					worst = *f.Last
				}
			}
		}
		if worst.Part == "" || fault.Value >= quickBreaker*worst.RatingA.Value {
			continue
		}
		f := rules.Finding{
			At: string(inv.ID), Also: []string{worst.Address()},
			Message: fmt.Sprintf("%s pushes %s A into a short, %.1f times %s (%s A): the breaker may not open while it inverts", inv.ID, numText(fault.Value), fault.Value/worst.RatingA.Value, worst, numText(worst.RatingA.Value)),
			Working: []string{fmt.Sprintf("%s A < 5 × %s A = %s A; shutdown within 5 s not told (fault_s)", numText(fault.Value), numText(worst.RatingA.Value), numText(5*worst.RatingA.Value))},
		}
		if fix, ok := groundFaultBreaker(p, worst); ok {
			f.Fixes = append(f.Fixes, fix)
		}
		p.Report(f)
	}
}
