package checks

import (
	"fmt"

	"rigline/components"
	"rigline/components/units"
	"rigline/rules"
)

// MinimumGauge holds DC conductors to the smallest size, and small ones to a small
// device.
var MinimumGauge = &rules.Rule{
	ID:    "conductor.minimum-gauge",
	Title: "A DC conductor is thinner than is allowed",
	Must:  "A DC conductor laid by itself is 16 AWG or larger, 18 AWG only in a sheath with at most 30 in bare; behind a fuse 18 AWG has at most 6 A, 16 AWG 8 A, 14 AWG 15 A, 12 AWG 20 A and 10 AWG 30 A.",
	Basis: []rules.Basis{
		{Source: "33 CFR 183", Clause: "183.425(d)-(f)", Says: "16 AWG, or 18 AWG sheathed; not inside equipment, pigtails under 7 in or circuits under 1 A (a marine rule, not law in a vehicle)", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2017", Clause: "Table 552.10(E)(1)", Says: "low-voltage overcurrent protection of small conductors (park trailers; article 551 excludes low voltage)", Seen: rules.Published},
	},
	Level: rules.Violation, OnePerPlace: true,
	Check: func(p *rules.Pass) {
		thinnest(p)
		eachFedRun(p, true, smallFuse)
	},
}

var (
	awg16 = mustSize("16 AWG")
	awg18 = mustSize("18 AWG")

	// trailerCaps is NEC 2017 Table 552.10(E)(1), in A.
	trailerCaps = []struct {
		size units.Size
		amps float64
	}{{awg18, 6}, {awg16, 8}, {mustSize("14 AWG"), 15}, {mustSize("12 AWG"), 20}, {mustSize("10 AWG"), 30}}
)

func mustSize(text string) units.Size {
	s, err := units.ParseSize(text)
	if err != nil {
		panic(err)
	}
	return s
}

// barePart is how much of a sheathed 18 AWG conductor may lie bare, in feet.
const barePart = 30.0 / 12

func thinnest(p *rules.Pass) {
	if !p.First() {
		return
	}
	d := p.Demand()
	told := map[components.ID]bool{}
	for i, l := range p.Circuit.Links {
		if l.Run == "" || !l.Core.From.DC() || !l.Core.To.DC() || told[l.Run] {
			continue
		}
		r, _ := p.Doc.Run(l.Run)
		size, ok := r.Size(l.Core.From)
		length := r.Figure("length_ft")
		if !ok || size.Cmil() >= awg16.Cmil()*0.999 || d.Amps[i] < 1 || length.Known() && length.Value < within7in {
			continue
		}
		cable, _ := r.Cable()
		sheathed := cable.Multi || length.Known() && r.Figure("sheath_ft").Value >= length.Value-barePart
		if size.Cmil() >= awg18.Cmil()*0.999 && sheathed {
			continue
		}
		told[l.Run] = true
		p.Report(rules.Finding{
			At:      string(r.ID),
			Message: fmt.Sprintf("%s is %s; 16 AWG is the thinnest that may lie by itself, 18 AWG in a sheath", r.ID, size),
			Working: []string{fmt.Sprintf("%s, %s A, not in a sheath of all but 30 in", size, numText(d.Amps[i]))},
			Fixes:   []rules.Fix{{Title: fmt.Sprintf("Replace %s by 16 AWG", r.ID), Edits: []components.Edit{set(r.ID, "size", components.Str("16 AWG"))}}},
		})
	}
}

func smallFuse(p *rules.Pass, f *fed) {
	size, ok := f.Run.Size(components.Pos)
	if source, _ := p.Doc.Part(f.Feed.Source.Part); !ok || p.Doc.Basis != "us-rv" || !f.Feed.HasDevice() || !f.Feed.Source.Stores && source.Kind != &components.DCConverter {
		return // an array has rules of its own, and an alternator's leads are large
	}
	told := size
	if size.Metric() {
		if size, ok = nextAWG(size); !ok {
			return
		}
	}
	if length := f.Run.Figure("length_ft"); length.Known() && length.Value < within7in {
		return
	}
	limit, known := f.limit()
	if !known { // overcurrent.rating-within-ampacity asks
		return
	}
	if f.Over.is && f.Over.level == rules.Danger {
		return // overcurrent.rating-within-ampacity or .every-source-end speaks
	}
	if _, tapped := tapDevice(p, f, limit); tapped {
		return // the short lead to its own fuse
	}
	for _, c := range trailerCaps {
		if size != c.size || limit <= c.amps {
			continue
		}
		find := rules.Finding{
			At: string(f.Run.ID), Also: f.also(),
			Message: fmt.Sprintf("%s is %s, which the trailer rule allows %s A, and %s it", f.Run.ID, told, numText(c.amps), f.protects()),
			Working: []string{fmt.Sprintf("Table 552.10(E)(1): %s, %s A < %s A", size, numText(c.amps), numText(limit))},
		}
		for _, o := range trailerCaps {
			if o.amps >= limit {
				find.Fixes = []rules.Fix{{Title: fmt.Sprintf("Replace %s by %s", f.Run.ID, o.size), Edits: []components.Edit{set(f.Run.ID, "size", components.Str(o.size.String()))}}}
				break
			}
		}
		if find.Fixes == nil {
			find.Fixes = []rules.Fix{{Title: fmt.Sprintf("Replace %s by 8 AWG", f.Run.ID), Edits: []components.Edit{set(f.Run.ID, "size", components.Str("8 AWG"))}}}
		}
		if fix, ok := lowerRating(p.Doc, *f.Feed.Device, c.amps); ok && len(f.Joint) == 0 && 1.25*demandOf(p, f.Run.ID) <= c.amps {
			find.Fixes = append(find.Fixes, fix)
		}
		p.Report(find)
	}
}
