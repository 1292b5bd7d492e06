package checks

import (
	"fmt"

	"rigline/components"
	"rigline/components/units"
	"rigline/rules"
	"rigline/rules/tables"
)

// Lead230 holds the lead and the fixed wiring of a 230 V caravan.
var Lead230 = &rules.Rule{
	ID:    "cord.230v-lead-and-wiring",
	Title: "The caravan's lead or wiring is not as it should be",
	Must:  "The lead of a 230 V caravan is 25 m long, 2 m more or less, of rubber with a protective conductor, and 2.5 mm² for 16 A; it is uncoiled in use. The fixed wiring is flexible or stranded copper of 1.5 mm² or more, and its protective conductor as large as its lines up to 16 mm².",
	Basis: []rules.Basis{
		{Source: "IEC 60364-7-721:2017", Clause: "Table 721.1, 721.55", Says: "length, sort and section of the lead; the sections above 16 A are from memory", Seen: rules.Published},
		{Source: "IEC 60364-5-54", Clause: "543.1.2, Table 54.2", Says: "the protective conductor is as large as the line up to 16 mm²", Seen: rules.Memory},
		{Source: "IEC 60364-7-721:2017", Clause: "721.52", Says: "flexible or stranded, 1.5 mm² or more", Seen: rules.Memory},
	},
	Set:   components.Caravan,
	Level: rules.Violation, Stateless: true,
	Check: lead230,
}

const (
	leadM       = 25.0
	leadSlackM  = 2.0
	metreInFeet = 1 / 0.3048
	leastFixed  = units.MM2(1.5)
)

func lead230(p *rules.Pass) {
	lead := map[components.ID]bool{}
	cords(p, func(_, inlet components.Part, r components.Run) {
		lead[r.ID] = true
		leadLength(p, r)
		leadSort(p, inlet, r)
	})
	for _, r := range p.Doc.Runs() {
		if !r.Gone() && !lead[r.ID] && mains(p, r) {
			fixedWire(p, r)
			protective(p, r)
		}
	}
}

// mains tells whether a run carries a hot or a neutral.
func mains(p *rules.Pass, r components.Run) bool {
	for _, c := range p.Doc.CoresOf(r) {
		if c.From.Hot() || c.From == components.N {
			return true
		}
	}
	return false
}

func leadLength(p *rules.Pass, r components.Run) {
	length := r.Figure("length_ft")
	if !length.Known() {
		p.Unchecked(string(r.ID), fmt.Sprintf("the length of the lead %s is not told: measure it (25 m, 2 m more or less)", r.ID))
		return
	}
	m := length.Value / metreInFeet
	if m >= leadM-leadSlackM-0.005 && m <= leadM+leadSlackM+0.005 {
		return
	}
	f := rules.Finding{
		At:      r.From.String(),
		Also:    []string{string(r.ID)},
		Message: fmt.Sprintf("The lead %s is %s m long; a caravan's is 25 m, 2 m more or less", r.ID, numText(m)),
		Working: []string{fmt.Sprintf("23 m ≤ length ≤ 27 m; %s m", numText(m))},
		Fixes:   []rules.Fix{{Title: fmt.Sprintf("Use a lead of 25 m as %s", r.ID), Edits: []components.Edit{set(r.ID, "length_ft", components.Num(tenth(leadM*metreInFeet)))}}},
	}
	if m < leadM {
		f.Level = rules.Advice // short reaches fewer pitches, and carries no less
	}
	p.Report(f)
}

func leadSort(p *rules.Pass, inlet components.Part, r components.Run) {
	rating := inlet.Figure("rating_a").Value
	want, verified, ok := tables.LeadSection(rating)
	if !ok {
		p.Unchecked(string(inlet.ID), fmt.Sprintf("%s is rated %s A, which IEC 60364-7-721 Table 721.1 does not list: a caravan's inlet is 16 A, or 25, 32, 63 or 100 A", inlet.ID, numText(rating)))
		return
	}
	cable, told := r.Cable()
	size, sized := r.Size(components.L)
	fix := rules.Fix{Title: fmt.Sprintf("Use a lead of heavy rubber cable of %s mm² as %s", numText(float64(want)), r.ID),
		Edits: []components.Edit{set(r.ID, "cable", components.Str("h07rn-f")), set(r.ID, "size", components.Str(numText(float64(want))+" mm2"))}}
	f := rules.Finding{At: string(r.ID), Also: []string{string(inlet.ID)}, Fixes: []rules.Fix{fix}}
	switch {
	case !told || !sized:
		p.Unchecked(string(r.ID), fmt.Sprintf("the size or the construction of the lead %s is not known: read the jacket (%s mm², H07RN-F)", r.ID, numText(float64(want))))
	case size.MM2() < want*0.999:
		f.Message = fmt.Sprintf("The lead %s has %s; for %s A it has %s mm²", r.ID, size, numText(rating), numText(float64(want)))
		f.Working = []string{fmt.Sprintf("Table 721.1 (%s): %s A, %s mm² > %s", verified, numText(rating), numText(float64(want)), size)}
		if size.MM2() < leastFixed*0.999 {
			f.Level = rules.Danger // thinner than what carries 16 A anywhere
		}
		p.Report(f)
	case cable.ID != "h07rn-f" && cable.ID != "h05rn-f":
		f.Message = fmt.Sprintf("The lead %s is %s; a caravan's is of rubber, H07RN-F or the like", r.ID, cable.Title)
		p.Report(f)
	}
}

// protective holds the protective conductor of a run to its line: as large up to
// 16 mm², 16 mm² up to 35, half of it above.
func protective(p *rules.Pass, r components.Run) {
	line, ok := r.Size(components.L)
	ground, told := r.Size(components.G)
	if !ok || !told || !hasCore(p.Doc, r, components.G) {
		return // the size is asked for elsewhere
	}
	want := line.MM2()
	switch {
	case want > 35:
		want /= 2
	case want > 16:
		want = 16
	}
	if ground.MM2() >= want*0.999 {
		return
	}
	size := numText(float64(want)) + " mm2"
	p.Report(rules.Finding{
		At:      string(r.ID),
		Message: fmt.Sprintf("The protective conductor of %s is %s; beside lines of %s it is %s mm² or more", r.ID, ground, line, numText(float64(want))),
		Working: []string{fmt.Sprintf("Table 54.2: %s mm² < %s mm²", numText(float64(ground.MM2())), numText(float64(want)))},
		Fixes:   []rules.Fix{{Title: fmt.Sprintf("Replace %s by a cable with a protective conductor of %s", r.ID, size), Edits: []components.Edit{set(r.ID, "ground_size", components.Str(size))}}},
	})
}

func fixedWire(p *rules.Pass, r components.Run) {
	cable, told := r.Cable()
	pole := components.L
	if size, ok := r.Size(pole); ok && size.MM2() < leastFixed*0.999 {
		p.Report(rules.Finding{
			At:      string(r.ID),
			Message: fmt.Sprintf("%s is %s; fixed wiring is 1.5 mm² or more", r.ID, size),
			Working: []string{fmt.Sprintf("%s mm² < 1.5 mm²", numText(float64(size.MM2())))},
			Fixes:   []rules.Fix{{Title: fmt.Sprintf("Replace %s by 1.5 mm2", r.ID), Edits: []components.Edit{set(r.ID, "size", components.Str("1.5 mm2"))}}},
		})
	}
	if told && cable.SolidTo10 {
		p.Report(rules.Finding{
			At:      string(r.ID),
			Message: fmt.Sprintf("%s is %s, of solid conductors: they break where a vehicle shakes", r.ID, cable.Title),
			Fixes:   []rules.Fix{{Title: fmt.Sprintf("Replace %s by flexible cable", r.ID), Edits: []components.Edit{set(r.ID, "cable", components.Str("h05vv-f"))}}},
		})
	}
}
