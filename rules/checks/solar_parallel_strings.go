package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
)

// ParallelStrings holds the strings on one controller to one voltage.
var ParallelStrings = &rules.Rule{
	ID:    "solar.parallel-strings-alike",
	Title: "Strings of unlike voltage share a controller",
	Must:  "The strings in parallel on one input of a controller have the same open-circuit voltage within 5 %. A longer string drives a shorter one backwards as soon as nothing draws, and in work each holds the other away from its point of full power.",
	Basis: []rules.Basis{
		{Source: "IEC 62548", Says: "strings in parallel: matched open-circuit voltages, within 5 %", Seen: rules.Memory},
		{Source: "Kirchhoff's laws", Says: "what stands in parallel has one voltage", Seen: rules.Published},
	},
	Level: rules.Violation, Stateless: true,
	Check: func(p *rules.Pass) {
		for _, cc := range p.Doc.Parts() {
			if cc.Kind != &components.SolarController || cc.Gone() {
				continue
			}
			t, ok := p.Circuit.At(cc.ID, "pv", components.Pos)
			if !ok {
				continue
			}
			arrays := arraysOn(p, t)
			for i := 1; i < len(arrays); i++ {
				stringsAlike(p, cc, arrays[0], arrays[i])
			}
		}
	},
}

// likeVoltage is how far the voltages of two strings may be apart.
const likeVoltage = 0.05

func stringsAlike(p *rules.Pass, cc components.Part, a, b pvArray) {
	for _, q := range []pvArray{a, b} {
		if _, _, missing := q.missing("voc_v", "series"); missing {
			return // solar.cold-voc-limit asks for them
		}
	}
	va, vb := openVolts(a), openVolts(b)
	if math.Abs(va-vb) <= likeVoltage*math.Max(va, vb)*1.0001 {
		return
	}
	f := rules.Finding{
		At: string(b.ID), Also: []string{string(a.ID), string(cc.ID)},
		Message: fmt.Sprintf("%s of %s V and %s of %s V share the input of %s: the longer string drives the shorter one backwards, and neither gives its full power", b.name(), numText(vb), a.name(), numText(va), cc.ID),
		Working: []string{fmt.Sprintf("open circuit %s V against %s V: more than 5 %% apart", numText(vb), numText(va))},
	}
	if n := math.Round(va / b.Figure("voc_v").Value); b.alone() && n >= 1 && n <= 24 && math.Abs(n*b.Figure("voc_v").Value-va) <= likeVoltage*va {
		f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Put %s modules in series in %s, as %s has it", numText(n), b.ID, a.name()), Edits: []components.Edit{set(b.ID, "series", components.Num(n))}}}
	}
	p.Report(f)
}

// openVolts is the open-circuit voltage of a string at 25 °C, V.
func openVolts(a pvArray) float64 {
	volts := 0.0
	for _, q := range a.all() {
		volts += q.Figure("series").Value * q.Figure("voc_v").Value
	}
	return volts
}
