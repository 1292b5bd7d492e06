package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/tables"
)

// CutoffCoordination lets an inverter stop before the battery's own protection,
// and stand what the chargers do.
var CutoffCoordination = &rules.Rule{
	ID:    "inverter-dc.cutoff-coordination",
	Title: "An inverter's limits do not fit the battery's",
	Must:  "An inverter stops half a volt for each 12 V before the battery's protection opens, and its highest input is 0.2 V for each 12 V above the highest charging voltage on its bank.",
	Basis: []rules.Basis{
		{Source: "ABYC E-13", Says: "warning before a lithium bank shuts itself down (a marine rule, not law in a vehicle)", Seen: rules.Published},
		{Source: "the margins of 0.5 V and 0.2 V", Seen: rules.Practice},
	},
	Level: rules.Violation, Stateless: true,
	Check: func(p *rules.Pass) { eachBank(p, cutoffCoordination) },
}

func cutoffCoordination(p *rules.Pass, b bank) {
	q := b.Parts[0]
	v, ok := voltsOf(p, q)
	if !ok {
		return // overcurrent.interrupting-rating asks for them
	}
	trip, protected, rests := 0.0, true, []string(nil)
	for _, o := range inString(p, q) {
		each := o.Figure("trip_v")
		if !each.Known() && lithium(o) {
			chem, _ := tables.BatteryChemistry(o.Word("chemistry"))
			each.Value = chem.CutOff.Trip * o.Figure("nominal_v").Value / chem.NominalVoltage
			rests = append(rests, fmt.Sprintf("trip_v of %s not told: taken as %s V, where the protection of %s opens by data sheets", o.ID, numText(each.Value), chem.Name))
		} else if !each.Known() {
			protected = false
		}
		trip += each.Value * math.Max(1, o.Figure("series").Value)
	}
	for _, inv := range p.Doc.Parts() {
		if inv.Gone() || inv.Kind != &components.Inverter && inv.Kind != &components.InverterCharger {
			continue
		}
		t, ok := p.Circuit.At(inv.ID, "dc", components.Pos)
		if !ok || p.Circuit.Net(t) != p.Circuit.Net(b.Posts[0]) {
			continue
		}
		if protected {
			lowCutoff(p, inv, q, trip, v.Blocks, rests)
		}
		highCutoff(p, inv, b, v.Max, v.Blocks)
	}
}

// lowCutoff wants the inverter to stop first. A lead bank without a protection of its
// own has no trip to stop before.
func lowCutoff(p *rules.Pass, inv, q components.Part, trip, blocks float64, rests []string) {
	low := inv.Figure("dc_low_v")
	least := trip + 0.5*blocks
	if !low.Known() || low.Value >= least*0.9999 {
		return
	}
	f := rules.Finding{
		At: string(inv.ID), Also: []string{string(q.ID)}, Level: rules.Advice, RestsOn: rests,
		Message: fmt.Sprintf("%s goes on down to %s V; the protection of %s opens at %s V and leaves everything dark at once", inv.ID, numText(low.Value), q.ID, numText(trip)),
		Working: []string{fmt.Sprintf("%s V + 0.5 V × %s = %s V > %s V", numText(trip), numText(blocks), numText(least), numText(low.Value))},
	}
	if low.From == components.Default {
		f.RestsOn = append(f.RestsOn[:len(f.RestsOn):len(f.RestsOn)], fmt.Sprintf("lowest input of %s taken as %s V: %s", inv.ID, numText(low.Value), low.Field.DefaultFrom))
	}
	want := math.Ceil(10*least-1e-9) / 10
	f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Set the low cut-off of %s to %s V", inv.ID, numText(want)), Edits: []components.Edit{set(inv.ID, "dc_low_v", components.Num(want))}}}
	p.Report(f)
}

// highCutoff wants the inverter to stand the highest charging voltage that is set
// on its bank, or the chemistry's where none is told.
func highCutoff(p *rules.Pass, inv components.Part, b bank, chemMax, blocks float64) {
	high := inv.Figure("dc_high_v")
	if !high.Known() {
		return
	}
	most, from := 0.0, ""
	for _, src := range charging(p, b) {
		for _, key := range []string{"absorb_v", "equalize_v"} {
			if f := src.Figure(key); f.Known() && f.Value > most {
				most, from = f.Value, string(src.ID)
			}
		}
	}
	var rests []string
	if most == 0 {
		most, from = chemMax, string(b.Parts[0].ID)
		rests = []string{fmt.Sprintf("no set point told: the most that %s stands, %s V", b.name(), numText(chemMax))}
	}
	least := most + 0.2*blocks
	if high.Value > least*0.9999 || high.Value < chemMax*0.9999 { // below it battery.voltage-class speaks
		return
	}
	want := math.Ceil(2*least) / 2
	p.Report(rules.Finding{
		At: string(inv.ID), Also: []string{from}, RestsOn: rests,
		Message: fmt.Sprintf("%s stops above %s V, and charging at %s reaches %s V", inv.ID, numText(high.Value), from, numText(most)),
		Working: []string{fmt.Sprintf("%s V + 0.2 V × %s = %s V > %s V", numText(most), numText(blocks), numText(least), numText(high.Value))},
		Fixes:   []rules.Fix{{Title: fmt.Sprintf("Fit an inverter that stands %s V as %s", numText(want), inv.ID), Edits: []components.Edit{set(inv.ID, "dc_high_v", components.Num(want))}}},
	})
}
