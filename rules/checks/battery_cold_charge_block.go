package checks

import (
	"fmt"
	"math"
	"strings"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/tables"
)

// ColdCharge keeps a lithium bank from being charged when it is too cold.
var ColdCharge = &rules.Rule{
	ID:    "battery.cold-charge-block",
	Title: "A cold lithium bank can be charged",
	Must:  "A lithium iron phosphate bank is never charged below its lowest charging temperature, 0 °C unless its maker says otherwise, and slowly below 10 °C: its own protection, every charge source, or a heater sees to it.",
	Basis: []rules.Basis{
		{Source: "data sheets of lithium iron phosphate blocks", Says: "charging 0 to 45 °C; below 0 °C the cells are plated with metal and later short inside", Seen: rules.Published},
		{Source: "data sheet of one maker", Says: "0.2 of the capacity between 0 and 15 °C", Seen: rules.Published},
	},
	Level: rules.Danger, Stateless: true,
	Check: func(p *rules.Pass) { eachBank(p, coldCharge) },
}

// slowBelowC is the temperature below which a lithium bank takes slowC of its
// capacity an hour at most.
const (
	slowBelowC = 10.0
	slowC      = 0.2
)

func coldCharge(p *rules.Pass, b bank) {
	sources := charging(p, b)
	if len(sources) == 0 {
		return
	}
	for i, top := range b.Parts {
		for _, q := range inString(p, top) {
			if lithium(q) {
				chargedCold(p, b, i, q, sources)
			}
		}
	}
}

// chargedCold judges one battery of the bank's string at, the top one or one in series
// below it.
func chargedCold(p *rules.Pass, b bank, at int, q components.Part, sources []components.Part) {
	coldest, lowest, rests := q.Figure("coldest_c"), 0.0, []string(nil)
	if f := q.Figure("min_charge_c"); f.Known() {
		lowest = f.Value
	} else {
		chem, _ := tables.BatteryChemistry("lfp")
		lowest = chem.Temperature.ChargeMin
		rests = []string{fmt.Sprintf("lowest charging temperature of %s not told: taken as %s °C", q.ID, numText(lowest))}
	}
	if coldest.Known() && coldest.Value >= lowest {
		slowly(p, b, at, q, coldest.Value, sources)
		return
	}
	if q.Is("cold_cutoff") || q.Is("heated") {
		return
	}
	var open, asks, also []string
	for _, s := range sources {
		switch {
		case s.Is("cold_cutoff"):
		case tellsNo(s, "cold_cutoff"):
			open, also = append(open, string(s.ID)), append(also, string(s.ID))
		default:
			asks, also = append(asks, string(s.ID)), append(also, string(s.ID))
		}
	}
	switch {
	case len(also) == 0:
		return
	case !coldest.Known():
		p.Unchecked(string(q.ID), fmt.Sprintf("neither coldest_c nor cold_cutoff of %s is known: tell how cold it gets where %s stands (a thermometer that keeps its lowest), or look in its manual for a low-temperature charge cut-off", q.ID, q.ID), also...)
		return
	case !tellsNo(q, "cold_cutoff"):
		p.Unchecked(string(q.ID), fmt.Sprintf("%s gets as cold as %s °C, and cold_cutoff of %s is not known: look in its manual for a low-temperature charge cut-off", q.ID, numText(coldest.Value), q.ID), also...)
		return
	case len(open) == 0:
		p.Unchecked(asks[0], fmt.Sprintf("%s gets as cold as %s °C, and cold_cutoff of %s is not known: look in the manual for a temperature sensor that stops charging", q.ID, numText(coldest.Value), strings.Join(asks, ", ")), append([]string{string(q.ID)}, asks[1:]...)...)
		return
	}
	p.Report(rules.Finding{
		At: string(q.ID), Also: open, RestsOn: rests,
		Message: fmt.Sprintf("%s gets as cold as %s °C and must not be charged below %s °C, but %s charges it all the same: its cells short inside later", q.ID, numText(coldest.Value), numText(lowest), strings.Join(open, ", ")),
		Working: []string{fmt.Sprintf("%s °C < %s °C; no cut-off in %s, none in %s, no heater", numText(coldest.Value), numText(lowest), q.ID, strings.Join(open, ", "))},
		Fixes: []rules.Fix{
			{Title: fmt.Sprintf("Fit a block with a low-temperature cut-off as %s", q.ID), Edits: []components.Edit{set(q.ID, "cold_cutoff", components.Yes(true))}},
			{Title: fmt.Sprintf("Fit a heater that warms %s before it is charged", q.ID), Edits: []components.Edit{set(q.ID, "heated", components.Yes(true))}},
		},
	})
}

// slowly holds the charge current to a fifth of the capacity where the bank may be
// only a little above freezing.
func slowly(p *rules.Pass, b bank, at int, q components.Part, coldest float64, sources []components.Part) {
	ah := q.Figure("capacity_ah")
	if coldest >= slowBelowC || !ah.Known() || q.Is("heated") {
		return
	}
	amps := -b.gives(p, p.Demand().Charging)[at]
	most := slowC * ah.Value * stringsOf(q)
	if amps <= most*1.001 {
		return
	}
	also := make([]string, len(sources))
	for i, s := range sources {
		also[i] = string(s.ID)
	}
	p.Report(rules.Finding{
		At: string(q.ID), Also: also, Level: rules.Advice,
		Message: fmt.Sprintf("%s gets as cold as %s °C, where it should take %s A at most; all sources together give %s A", q.ID, numText(coldest), numText(most), numText(math.Round(amps))),
		Working: []string{fmt.Sprintf("%s × %s Ah × %s = %s A", numText(slowC), numText(ah.Value), numText(stringsOf(q)), numText(most))},
	})
}
