package checks

import (
	"fmt"
	"math"
	"slices"

	"rigline/components"
	"rigline/rules"
)

// HotVmp asks that the array still charges on the hottest day.
var HotVmp = &rules.Rule{
	ID:    "solar.hot-vmp-minimum",
	Title: "The array is too low to charge when it is hot",
	Must:  "With its cells at 70 °C a string still stands above the bank's charging voltage by what the controller needs to run.",
	Basis: []rules.Basis{
		{Source: "NREL guidance on the temperature coefficient of Vmp", Says: "the voltage at full power falls as the cells warm", Seen: rules.Published},
		{Source: "cells at 70 °C, 1 V of headroom to run", Seen: rules.Practice},
	},
	Level: rules.Advice, Stateless: true,
	Check: func(p *rules.Pass) {
		eachController(p, func(cc components.Part, arrays []pvArray) {
			for _, q := range arrays {
				hotOnController(p, cc, q)
			}
		})
	},
}

const (
	hotCellC = 70
	headroom = 1 // V
)

func hotOnController(p *rules.Pass, cc components.Part, q pvArray) {
	t, ok := p.Circuit.At(cc.ID, "battery", components.Pos)
	bank := chargingVolts(p, t)
	if !ok || bank == 0 {
		return
	}
	if o, key, missing := q.missing("vmp_v", "series"); missing {
		if key == "vmp_v" { // solar.cold-voc-limit asks for the modules of a string
			p.Unchecked(string(o.ID), fmt.Sprintf("vmp_v of %s is not known: read the label on the back of a module", o.ID), string(cc.ID))
		}
		return
	}
	volts, need := hotVmp(q), bank+headroom
	if volts >= need {
		return
	}
	f := rules.Finding{
		At: string(q.ID), Also: []string{string(cc.ID)},
		Message: fmt.Sprintf("%s falls to %s V with hot cells; %s needs %s V to fill the bank", q.name(), numText(volts), cc.ID, numText(need)),
		Working: []string{
			fmt.Sprintf("charging voltage %s V + %d V to run = %s V", numText(bank), headroom, numText(need)),
		},
	}
	for i, o := range q.all() {
		series, vmp, gamma, own := o.Figure("series").Value, o.Figure("vmp_v").Value, o.Figure("vmp_pct_per_c"), hotVmp(pvArray{Part: o})
		f.Working = slices.Insert(f.Working, i, fmt.Sprintf("%v × %s V × (1 %+.4g %%/°C × (%d − 25) °C) = %s V", series, numText(vmp), gamma.Value, hotCellC, numText(own)))
		if gamma.From == components.Default {
			f.RestsOn = append(f.RestsOn, fmt.Sprintf("coefficient of Vmp of %s taken as %v %%/°C: %s", o.ID, gamma.Value, gamma.Field.DefaultFrom))
		}
		if q.alone() {
			if fix, ok := longerStrings(p, cc, q, math.Ceil(need/(own/series))); ok {
				f.Fixes = []rules.Fix{fix}
			}
		}
	}
	p.Report(f)
}

// hotVmp is the voltage of a string at full power with hot cells, V.
func hotVmp(a pvArray) float64 {
	volts := 0.0
	for _, q := range a.all() {
		volts += q.Figure("series").Value * q.Figure("vmp_v").Value * (1 + q.Figure("vmp_pct_per_c").Value/100*(hotCellC-25))
	}
	return volts
}

// longerStrings puts the same modules in longer strings, where the controller
// stands the cold voltage of those and the modules divide evenly.
func longerStrings(p *rules.Pass, cc components.Part, q pvArray, n float64) (rules.Fix, bool) {
	series, parallel, most := q.Figure("series").Value, q.Figure("parallel"), cc.Figure("max_pv_v")
	cold, _ := coldVoc(q)
	if !most.Known() || !parallel.Known() || cold*n/series > most.Value {
		return rules.Fix{}, false
	}
	strings := series * parallel.Value / n
	edits := []components.Edit{set(q.ID, "series", components.Num(n))}
	title := fmt.Sprintf("Put %v modules in series in %s", n, q.ID)
	switch {
	case strings >= 1 && strings == math.Floor(strings):
		edits = append(edits, set(q.ID, "parallel", components.Num(strings)))
	default:
		title += ", adding modules"
		edits = append(edits, set(q.ID, "parallel", components.Num(math.Ceil(strings))))
	}
	return rules.Fix{Title: title, Edits: edits}, true
}
