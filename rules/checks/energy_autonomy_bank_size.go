package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/energy"
)

// Autonomy holds a bank to the days that it is wanted to last without charge.
var Autonomy = &rules.Rule{
	ID:    "energy.autonomy-bank-size",
	Title: "The bank is too small for the days wanted without charge",
	Must:  "A bank carries the day's loads for the days that its owner wants without charge, at its coldest: Ah = Wh · days / depth · cold factor / V.",
	Basis: []rules.Basis{
		{Source: "IEEE 1013 and 485, simplified", Says: "capacity for days of autonomy, with a temperature factor for lead", Seen: rules.Published},
	},
	Level: rules.Advice, Stateless: true,
	Check: func(p *rules.Pass) { eachDay(p, func(c energy.Case, q components.Part) { autonomy(p, c, q) }) },
}

func autonomy(p *rules.Pass, c energy.Case, q components.Part) {
	days, at := wished(p, c, "autonomy_days")
	if at == "" || unknownDay(p, at, "how many days the bank lasts", "a", "va", "idle_w", "hours_per_day") {
		return
	}
	wh, working := dayWh(c)
	factor := 1.0
	rests := p.Day().RestsOn
	if cold := q.Figure("coldest_c"); cold.Known() {
		k, err := c.Bank.ColdFactor(cold.Value)
		if err != nil {
			p.Unchecked(string(q.ID), fmt.Sprintf("coldest_c of %s is %s °C, colder than the capacity table goes: ask its maker for the capacity there", q.ID, numText(cold.Value)))
			return
		}
		factor = k
	} else if c.Bank.Lead() {
		rests = append(rests[:len(rests):len(rests)], fmt.Sprintf("coldest_c of %s not told: its capacity at 25 °C", q.ID))
	}
	need, err := c.Bank.Needed(wh, days.Value, factor)
	if err != nil || need <= c.Bank.AmpHours*1.001 {
		return
	}
	p.Report(rules.Finding{
		At: string(at), RestsOn: rests,
		Message: fmt.Sprintf("%s without charge need %s Ah; the bank has %s Ah", count(days.Value, "day", "days"), numText(need), numText(c.Bank.AmpHours)),
		Working: append(working, fmt.Sprintf("%s Wh × %s d / %v × %s / %s V = %s Ah > %s Ah", numText(wh), numText(days.Value), c.Bank.Depth, numText(factor), numText(c.Bank.Volts), numText(need), numText(c.Bank.AmpHours))),
		Fixes:   enlargeBank(p, c, need),
	})
}
