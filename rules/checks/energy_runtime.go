package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/energy"
)

// Runtime holds a bank to the hours that it is wanted to carry everything.
var Runtime = &rules.Rule{
	ID:    "energy.runtime",
	Title: "The bank does not last the hours wanted",
	Must:  "A bank carries the loads that are on off grid for the hours that its owner wants: lithium V·Ah·depth/P; lead by Peukert's law from its 20-hour capacity.",
	Basis: []rules.Basis{
		{Source: "Peukert's law with the capacity at its own rate, t = R·(C/(I·R))ⁿ", Seen: rules.Published},
	},
	Level: rules.Advice, Stateless: true,
	Check: func(p *rules.Pass) { eachDay(p, func(c energy.Case, q components.Part) { runtime(p, c) }) },
}

func runtime(p *rules.Pass, c energy.Case) {
	want, at := wished(p, c, "runtime_h")
	if at == "" || unknownDay(p, at, "how long the bank lasts", "a", "va", "idle_w") {
		return
	}
	watts := 0.0
	var working []string
	for _, l := range c.Loads {
		watts += l.Watts
		working = append(working, fmt.Sprintf("%s %s W", l.Name, numText(l.Watts)))
	}
	have := c.Bank.Hours(watts)
	if watts == 0 || have >= want.Value*0.999 {
		return
	}
	step := fmt.Sprintf("%s V × %s Ah × %v / %s W = %s h", numText(c.Bank.Volts), numText(c.Bank.AmpHours), c.Bank.Depth, numText(watts), numText(have))
	if c.Bank.Lead() && watts/c.Bank.Volts > c.Bank.AmpHours/20 {
		i := watts / c.Bank.Volts
		step = fmt.Sprintf("20 h × (%s Ah / (%s A × 20 h))^%v × %v = %s h", numText(c.Bank.AmpHours), numText(i), c.Bank.Peukert, c.Bank.Depth, numText(have))
	}
	p.Report(rules.Finding{
		At: string(at), RestsOn: p.Day().RestsOn,
		Message: fmt.Sprintf("With everything on, %s W, the bank lasts %s h; %s h are wanted", numText(watts), numText(have), numText(want.Value)),
		Working: append(working, step),
		Fixes:   enlargeBank(p, c, lasting(c.Bank, watts, want.Value)),
	})
}

// lasting is the capacity, in Ah, at which a bank of the same kind lasts so long.
func lasting(b energy.Bank, watts, hours float64) float64 {
	lo, hi := b.AmpHours, b.AmpHours
	for b.AmpHours = hi; b.Hours(watts) < hours && hi < 1e6; b.AmpHours = hi {
		hi *= 2
	}
	for range 40 {
		b.AmpHours = (lo + hi) / 2
		if b.Hours(watts) < hours {
			lo = b.AmpHours
		} else {
			hi = b.AmpHours
		}
	}
	return math.Ceil(hi)
}
