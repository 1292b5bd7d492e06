package checks

import (
	"fmt"
	"math"
	"strings"

	"rigline/components"
	"rigline/rules"
)

// ColdVoc holds a solar controller to the array's voltage on the coldest morning.
var ColdVoc = &rules.Rule{
	ID:    "solar.cold-voc-limit",
	Title: "The array is too high for its controller when it is cold",
	Must:  "The open-circuit voltage of a string on the coldest morning stays below the controller's highest input voltage. (overcurrent.voltage-rating holds the fuses and switches on the way to it.)",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2017", Clause: "690.7(A), Table 690.7(A)", Says: "Voc at the lowest expected temperature, by the module's coefficient or the table's factor", Seen: rules.Published},
		{Source: "IEC 62548", Says: "the same method", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2017", Clause: "690.11", Says: "from 80 V on, arc-fault protection on the array's circuit", Seen: rules.Published},
	},
	Level: rules.Danger, Stateless: true,
	Check: coldVocLimit,
}

// arcFaultV is where NEC 690.11 begins to ask for arc-fault protection.
const arcFaultV = 80

func coldVocLimit(p *rules.Pass) {
	eachController(p, func(cc components.Part, arrays []pvArray) {
		for _, q := range arrays {
			coldOnController(p, cc, q)
		}
	})
}

func coldOnController(p *rules.Pass, cc components.Part, q pvArray) {
	most := cc.Figure("max_pv_v")
	if !most.Known() {
		p.Unchecked(string(cc.ID), fmt.Sprintf("max_pv_v of %s is not known: read the highest array voltage off its label", cc.ID), string(q.ID))
		return
	}
	if o, key, missing := q.missing("voc_v", "series"); missing {
		p.Unchecked(string(o.ID), fmt.Sprintf("%s of %s is not known: read the label on the back of a module, and count the modules of a string", key, o.ID), string(cc.ID))
		return
	}
	volts, rests := coldVoc(q)
	if volts <= most.Value {
		return
	}
	f := rules.Finding{
		At: string(cc.ID), Also: []string{string(q.ID)},
		Message: fmt.Sprintf("%s reaches %s V on its coldest morning; %s stands %s V", q.name(), numText(volts), cc.ID, numText(most.Value)),
		Working: []string{coldWorking(q, volts)},
		RestsOn: rests,
	}
	if volts >= arcFaultV {
		f.Working = append(f.Working, fmt.Sprintf("%s V ≥ %d V: 690.11 asks for arc-fault protection as well", numText(volts), arcFaultV))
	}
	if n := math.Floor(q.Figure("series").Value * most.Value / volts); n >= 1 && q.alone() {
		f.Fixes = append(f.Fixes, rules.Fix{Title: fmt.Sprintf("Put %s in series in %s", count(n, "module", "modules"), q.ID), Edits: []components.Edit{set(q.ID, "series", components.Num(n))}})
	}
	want := math.Ceil(volts/50) * 50
	f.Fixes = append(f.Fixes, rules.Fix{Title: fmt.Sprintf("Fit a controller of %s V or more as %s", numText(want), cc.ID), Edits: []components.Edit{set(cc.ID, "max_pv_v", components.Num(want))}})
	for _, o := range q.under {
		f.Also = append(f.Also, string(o.ID))
	}
	p.Report(f)
}

// coldWorking is the arithmetic of coldVoc.
func coldWorking(a pvArray, volts float64) string {
	var each []string
	for _, q := range a.all() {
		own, _ := coldVoc(pvArray{Part: q})
		each = append(each, coldWorkingOf(q, own))
	}
	if a.alone() {
		return each[0]
	}
	return strings.Join(each, "; ") + fmt.Sprintf("; together %s V", numText(volts))
}

func coldWorkingOf(q components.Part, volts float64) string {
	beta, coldest := q.Figure("voc_pct_per_c"), q.Figure("coldest_c")
	head := fmt.Sprintf("%v × %s V", q.Figure("series").Value, numText(q.Figure("voc_v").Value))
	if beta.Known() && coldest.Known() {
		return fmt.Sprintf("%s × (1 %+.4g %%/°C × (%s − 25) °C) = %s V", head, beta.Value, numText(coldest.Value), numText(volts))
	}
	factor, _ := coldFactor(q)
	return fmt.Sprintf("%s × %v = %s V", head, factor, numText(volts))
}
