package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/components/units"
	"rigline/rules"
	"rigline/rules/tables"
)

// MainByCCA holds a bank's first device to the least interrupting rating for its
// size.
var MainByCCA = &rules.Rule{
	ID:    "overcurrent.main-aic-by-cca",
	Title: "The first device of a bank breaks less than its size asks for",
	Must:  "Where no short-circuit current is declared, the first device of a lead-acid bank breaks the least current for its cold-cranking amperes, and that of a lithium bank 20 kA.",
	Basis: []rules.Basis{
		{Source: "ABYC E-11", Clause: "Table 3B, 11.10", Says: "1500, 3000 or 5000 A for the first device by cold-cranking amperes; above 2200 A or 500 Ah the declared current, or 20 kA at 125 V (a marine standard, not law in a vehicle)", Seen: rules.Published},
		{Source: "20 kA for a lithium bank that declares nothing", Seen: rules.Practice},
	},
	Level: rules.Danger, Stateless: true,
	Check: func(p *rules.Pass) { eachBank(p, mainByCCA) },
}

// undeclaredA is what the first device of a bank breaks that declares nothing.
const undeclaredA = 20000

func mainByCCA(p *rules.Pass, b bank) {
	cca, declared, lfp := 0.0, true, false
	for _, q := range b.Parts {
		cca += q.Figure("cca_a").Value * stringsOf(q)
		declared = declared && (q.Figure("fault_a").Known() || q.Figure("internal_mohm").Known())
		lfp = lfp || lithium(q)
	}
	if declared || !lfp && cca == 0 {
		return // overcurrent.interrupting-rating works with the figures
	}
	volts := p.Circuit.StringVolts(b.Parts[0])
	least, level, why := float64(undeclaredA), rules.Violation, "lithium bank, no short-circuit current declared: 20 kA"
	if !lfp {
		main, _, err := tables.InterruptingMinimum(units.Volt(components.VoltClass(volts)), units.Amp(cca))
		why = fmt.Sprintf("ABYC E-11 Table 3B: %s A cold cranking, first device %s A", numText(cca), numText(float64(main)))
		least, level = float64(main), rules.Danger
		if err != nil {
			least, why = undeclaredA, fmt.Sprintf("ABYC E-11 11.10: %s A cold cranking is above the table, no short-circuit current declared: 20 kA", numText(cca))
		}
	}
	told := map[string]bool{}
	for i, q := range b.Parts {
		for _, l := range leads(p, b.Posts[i]) {
			if l.Device == nil || told[l.Device.Address()] {
				continue
			}
			told[l.Device.Address()] = true
			tooWeak(p, q, l, least, level, why)
		}
	}
}

func tooWeak(p *rules.Pass, q components.Part, l lead, least float64, level rules.Level, why string) {
	part, _ := p.Doc.Part(l.Device.Part)
	for _, i := range p.Circuit.LinksAt(l.End) {
		link := p.Circuit.Links[i]
		d, ok := p.Circuit.Device(link)
		if !ok || d.At() != l.Device.At() {
			continue
		}
		volts := highestVolts(p, link)
		rated, because, known := dcRating(part, volts)
		if v, _, told := ratedVolts(part); !known || rated >= least || told && v < volts {
			return // other rules ask for the family, or speak of the voltage
		}
		if f, ok := worstThrough(p, int(i), link, rated); ok && f.Amps > rated {
			return // overcurrent.interrupting-rating speaks
		}
		f := rules.Finding{
			At: d.Address(), Also: []string{string(q.ID)}, Level: level,
			Message: fmt.Sprintf("%s can break %s A at %s V; the first device of %s should break %s A", d, numText(rated), numText(volts), q.ID, numText(least)),
			Working: []string{why, because},
		}
		if t, _ := tables.FuseFamily("class-t"); part.Kind == &components.Fuse {
			if rating, ok := t.AtLeast(part.Figure("rating_a").Value); ok {
				f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Fit a %s A class T fuse as %s", numText(rating), d), Edits: classT(part, rating)}}
			}
		} else if part.Kind == &components.DCBreaker {
			f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Fit a breaker of %s A interrupting rating as %s", numText(least), d), Edits: []components.Edit{set(part.ID, "interrupting_a", components.Num(least)), set(part.ID, "volts_dc", components.Num(math.Max(65, math.Ceil(volts))))}}}
		}
		p.Report(f)
		return
	}
}
