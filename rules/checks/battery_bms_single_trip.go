package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
)

// SingleTrip asks that a bank goes on when one of its strings switches itself off.
var SingleTrip = &rules.Rule{
	ID:    "battery.bms-single-trip",
	Title: "When one string switches itself off, the rest follow",
	Must:  "With one parallel string gone, the others carry the worst continuous demand within their limits, or it is accepted that everything goes dark.",
	Basis: []rules.Basis{
		{Source: "ABYC E-13", Says: "a warning before a bank shuts itself off (a marine standard, not law in a vehicle)", Seen: rules.Published},
		{Source: "one string in reserve", Seen: rules.Practice},
	},
	Level: rules.Advice, Stateless: true,
	Check: func(p *rules.Pass) { eachBank(p, singleTrip) },
}

func singleTrip(p *rules.Pass, all bank) {
	b, ok := all.house()
	if !ok || b.strings() < 2 {
		return
	}
	limit, largest := 0.0, 0.0
	for _, q := range b.Parts {
		f := q.Figure("discharge_a")
		if !lithium(q) || !f.Known() {
			return // battery.bms-discharge-limit asks
		}
		limit += f.Value * stringsOf(q)
		largest = math.Max(largest, f.Value)
	}
	amps := total(b.gives(p, p.Demand().Drawing))
	if left := limit - largest; amps > left*1.001 && amps <= limit*unevenShare*1.001 {
		at, also := b.at()
		f := rules.Finding{
			At: at, Also: also,
			Message: fmt.Sprintf("If one string of %s switches itself off, the others may give %s A and are asked for %s A: they follow it", b.name(), numText(left), numText(amps)),
			Working: []string{fmt.Sprintf("%s A − %s A = %s A < %s A", numText(limit), numText(largest), numText(left), numText(amps))},
		}
		if q := b.Parts[0]; len(b.Parts) == 1 && stringsOf(q) < 16 && alone(p, q) {
			f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Fit one string more in %s", q.ID), Edits: []components.Edit{set(q.ID, "parallel", components.Num(math.Ceil(amps/largest-1e-9)+1))}}}
		}
		p.Report(f)
	}
}
