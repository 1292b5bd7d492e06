package checks

import (
	"fmt"
	"math"
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/tables"
)

// TotalCharge holds all charge sources together to what the bank accepts.
var TotalCharge = &rules.Rule{
	ID:    "charger.total-current-limit",
	Title: "All charge sources together are more than the bank accepts",
	Must:  "The charge sources that can run at once, each at its full output and with no load drawing, stay within the charge limit of the blocks in parallel. Sources that an interlock keeps apart count with the largest of them. (battery.c-rate-limit looks at what the chemistry likes best.)",
	Basis: []rules.Basis{
		{Source: "lead behind an alternator takes what the voltage drives, the full current for a short while alone: advice", Seen: rules.Practice},
		{Source: "data sheets of battery blocks", Says: "the charge limit of a block; the protection opens above it, and a cell ages or plates before", Seen: rules.Published},
	},
	Level: rules.Violation, Stateless: true, OnePerPlace: true,
	Check: func(p *rules.Pass) { eachBank(p, totalCharge) },
}

// chargeOutput is a charge source's full output.
func chargeOutput(q components.Part) components.Figure {
	switch q.Kind {
	case &components.Charger, &components.InverterCharger:
		return q.Figure("charge_a")
	case &components.Alternator:
		return q.Figure("rating_a")
	}
	return q.Figure("output_a")
}

// atOnce are those of some charge sources that may run together: of those that never do,
// the one with the largest output.
func atOnce(all []components.Part) []components.Part {
	groups := map[string]components.Part{}
	var sources []components.Part
	for _, q := range all {
		group := q.Word("never_with")
		if group == "" {
			sources = append(sources, q)
		} else if o, met := groups[group]; !met || chargeOutput(o).Value < chargeOutput(q).Value {
			groups[group] = q
		}
	}
	for _, q := range all {
		if g, ok := groups[q.Word("never_with")]; ok && g.ID == q.ID {
			sources = append(sources, q)
		}
	}
	return sources
}

func totalCharge(p *rules.Pass, all bank) {
	b, ok := all.house()
	if !ok {
		return
	}
	limit, told, rests := 0.0, true, []string(nil)
	for _, top := range b.Parts {
		least := math.Inf(1) // of what stands in series, the weakest decides
		for _, q := range inString(p, top) {
			own, ah := q.Figure("charge_a"), q.Figure("capacity_ah")
			if own.Known() {
				least = math.Min(least, own.Value*stringsOf(q))
				continue
			}
			chem, known := tables.BatteryChemistry(q.Word("chemistry"))
			if !known || !ah.Known() {
				return // overcurrent.interrupting-rating asks for them
			}
			askMarked(p, q, "charge_a", "whether what charges it is too much is not: read the charging limit of its management system off the label")
			told = false
			least = math.Min(least, chem.ChargeRate.Usual*ah.Value*stringsOf(q))
			rests = append(rests, fmt.Sprintf("charge_a of %s not told: %v of its capacity an hour", q.ID, chem.ChargeRate.Usual))
		}
		limit += least
	}
	for _, q := range charging(p, b) {
		if out := chargeOutput(q); !out.Known() {
			p.Unchecked(string(q.ID), fmt.Sprintf("%s of %s is not known, so what charges %s in all is not: read its label", out.Field.Key, q.ID, b.name()), string(b.Parts[0].ID))
			return
		}
	}
	sources := atOnce(charging(p, b))
	sum, working := 0.0, ""
	var ids []string
	for _, q := range sources {
		sum += chargeOutput(q).Value
		ids = append(ids, string(q.ID))
		if working != "" {
			working += " + "
		}
		working += fmt.Sprintf("%s %s A", q.ID, numText(chargeOutput(q).Value))
	}
	if sum <= limit*1.001 {
		return
	}
	at, also := b.at()
	if !told {
		p.Unchecked(at, fmt.Sprintf("charge_a of %s is not told, and its sources give up to %s A together, more than the %s A that its kind usually takes: read the charge limit on its data sheet", b.name(), numText(sum), numText(limit)), ids...)
		return
	}
	f := rules.Finding{
		At: at, Also: append(also, ids...), RestsOn: rests,
		Message: fmt.Sprintf("The charge sources of %s give %s A together; it accepts %s A", b.name(), numText(sum), numText(limit)),
		Working: []string{fmt.Sprintf("%s = %s A > %s A", working, numText(sum), numText(limit))},
		Fixes:   lessCharge(sources, sum-limit),
	}
	if driven := alternators(sources); sum-driven <= limit*1.001 && !slices.ContainsFunc(b.Parts, lithium) {
		f.Level = rules.Advice
		f.Message += ". An alternator holds a voltage, and lead takes that much of it only while it is deeply empty: a DC-DC charger would hold the current"
		f.Working = append(f.Working, fmt.Sprintf("without what an engine drives: %s A", numText(sum-driven)))
	}
	p.Report(f)
}

// alternators are what those of some sources give together, A.
func alternators(sources []components.Part) float64 {
	sum := 0.0
	for _, q := range sources {
		if q.Kind == &components.Alternator {
			sum += chargeOutput(q).Value
		}
	}
	return sum
}

// lessCharge lowers the settings of AC chargers by what is too much, or keeps the
// two largest sources apart where that is enough.
func lessCharge(sources []components.Part, over float64) []rules.Fix {
	var fixes []rules.Fix
	var first, second components.Part
	for _, q := range sources {
		a := chargeOutput(q).Value
		if want := math.Floor(a - over); (q.Kind == &components.InverterCharger || q.Kind == &components.Charger) && want >= 5 {
			fixes = append(fixes, rules.Fix{Title: fmt.Sprintf("Set the charge current of %s to %s A", q.ID, numText(want)), Edits: []components.Edit{set(q.ID, "charge_a", components.Num(want))}})
		}
		if q.Kind == &components.Alternator {
			continue
		}
		switch {
		case first.Kind == nil || a > chargeOutput(first).Value:
			first, second = q, first
		case second.Kind == nil || a > chargeOutput(second).Value:
			second = q
		}
	}
	if second.Kind != nil && chargeOutput(second).Value >= over && first.Word("never_with") == "" && second.Word("never_with") == "" {
		name := components.Str(fmt.Sprintf("%s or %s", first.ID, second.ID))
		fixes = append(fixes, rules.Fix{Title: fmt.Sprintf("Fit a relay that lets %s or %s run, not both", first.ID, second.ID),
			Edits: []components.Edit{set(first.ID, "never_with", name), set(second.ID, "never_with", name)}})
	}
	return fixes
}
