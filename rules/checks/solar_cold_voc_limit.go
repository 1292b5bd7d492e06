package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
)

// ColdVoc holds a solar controller to the array's voltage on the coldest morning.
var ColdVoc = &rules.Rule{
	ID:    "solar.cold-voc-limit",
	Title: "The array is too high for its controller when it is cold",
	Must:  "The open-circuit voltage of a string on the coldest morning stays below the controller's highest input voltage.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2017", Clause: "690.7(A), Table 690.7(A)", Says: "Voc at the lowest expected temperature", Seen: rules.Published},
	},
	Level: rules.Danger,
	Check: coldVocLimit,
}

func coldVocLimit(p *rules.Pass) {
	if p.State.Sun == 0 {
		return
	}
	for _, cc := range p.Doc.Parts() {
		if cc.Kind != &components.SolarController || cc.Gone() {
			continue
		}
		t, ok := p.Circuit.At(cc.ID, "pv", components.Pos)
		if !ok {
			continue
		}
		most := cc.Figure("max_pv_v")
		for _, src := range p.Circuit.Feeds(t) {
			q, _ := p.Doc.Part(src.Part)
			if q.Kind != &components.SolarArray {
				continue
			}
			if !most.Known() || !q.Figure("voc_v").Known() {
				p.Unchecked(string(cc.ID), fmt.Sprintf("max_pv_v of %s or voc_v of %s is not known: read the labels", cc.ID, q.ID), string(q.ID))
				continue
			}
			volts, rests := coldVoc(q)
			if volts <= most.Value {
				continue
			}
			f := rules.Finding{
				At: string(cc.ID), Also: []string{string(q.ID)},
				Message: fmt.Sprintf("%s reaches %s V on its coldest morning; %s stands %s V", q.ID, numText(volts), cc.ID, numText(most.Value)),
				Working: []string{fmt.Sprintf("%v × %s V × (1 %+.4g %%/°C × (%s − 25) °C) = %s V", q.Figure("series").Value, numText(q.Figure("voc_v").Value), q.Figure("voc_pct_per_c").Value, numText(q.Figure("coldest_c").Value), numText(volts))},
				RestsOn: rests,
			}
			if n := math.Floor(q.Figure("series").Value * most.Value / volts); n >= 1 && rests == nil {
				f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Put %v modules in series in %s", n, q.ID), Edits: []components.Edit{set(q.ID, "series", components.Num(n))}}}
			}
			p.Report(f)
		}
	}
}
