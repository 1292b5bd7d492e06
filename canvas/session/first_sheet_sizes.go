package session

import (
	"context"
	"math"
	"slices"

	"rigline/components"
	"rigline/components/units"
	"rigline/rules"
	"rigline/rules/checks"
	"rigline/rules/sizing"
)

// need is what a run of a first sheet has to carry, and in which cable.
type need struct {
	amps  float64 // of the device ahead of it, 0 where nobody knows yet
	cable string
}

// sizes gives every run its cable, and where its device is known the smallest size
// that the cable's table allows behind it. Lengths stay unknown: nobody has measured
// them.
func (b *firstSheet) sizes() {
	for _, r := range b.doc.Runs() {
		n := b.needs[r.ID]
		if n.cable == "" {
			continue
		}
		if b.doc.Basis == components.Caravan {
			if cable, ok := caravanCable[n.cable]; ok {
				n.cable = cable
			}
		}
		b.do(components.Set{On: r.ID, Key: "cable", Value: components.Str(n.cable)})
		if b.err != nil {
			return
		}
		if n.amps <= 0 {
			continue
		}
		if size, ok := checks.SizeFor(b.doc, r.ID, n.amps); ok {
			if cord, _ := components.FindConstruction(n.cable); b.doc.Basis == components.Caravan && cord.ID == siteCord && size.MM2() < cordMM2 {
				size, _ = units.ParseSize("2.5 mm2")
			}
			b.do(components.Set{On: r.ID, Key: "size", Value: components.Str(size.String())})
		}
	}
}

// sizeGrounds gives the bonds and case grounds whose size nothing else says the smallest
// that a rule decides: they follow the conductors beside them.
func (b *firstSheet) sizeGrounds(doc *components.Document, book []*rules.Rule) *components.Document {
	var bare []components.ID
	for _, r := range doc.Runs() {
		cores := doc.CoresOf(r)
		if _, told := r.Size(""); told || r.Status == components.Existing || len(cores) != 1 || cores[0].To != components.G || b.needs[r.ID].amps <= 0 {
			continue
		}
		bare = append(bare, r.ID)
	}
	if len(bare) == 0 {
		return doc
	}
	found, _, err := sizing.Size(context.Background(), doc, book, bare...)
	if err != nil {
		return doc
	}
	var edits []components.Edit
	for _, c := range found {
		if c.Decided != nil {
			edits = append(edits, c.Edit())
		}
	}
	if sized, err := doc.Apply(edits...); err == nil {
		return sized
	}
	return doc
}

// The connecting cord of a caravan is of 2.5 mm² at 16 A, H07RN-F or the like (IEC
// 60364-7-721, 721.55.2.6, from memory).
const (
	siteCord = "h07rn-f"
	cordMM2  = 2.5
)

// caravanCable is what is laid in a 230 V caravan in the place of a construction
// of the other rule set.
var caravanCable = map[string]string{"nm-b": "h05vv-f", "thhn": "h07v-k", "cord-shore": siteCord}

// mend carries out what the rules propose against a first sheet, the worst first,
// until they propose nothing more against a danger or a violation.
func mend(doc *components.Document, book []*rules.Rule) *components.Document {
	const rounds = 40
	tried := map[string]bool{}
	var last *rules.Report
	for range rounds {
		report, err := checkAll(context.Background(), last, doc, book)
		if err != nil {
			return doc
		}
		last = report
		i := slices.IndexFunc(report.Findings, func(f rules.Finding) bool {
			return f.Level >= rules.Violation && f.Accepted == nil && len(f.Fixes) > 0 && !tried[f.Rule.ID+f.At+f.Fixes[0].Title]
		})
		if i < 0 {
			return doc
		}
		f := report.Findings[i]
		tried[f.Rule.ID+f.At+f.Fixes[0].Title] = true
		if next, err := doc.Apply(f.Fixes[0].Edits...); err == nil {
			doc = next
		}
	}
	return doc
}

// inverterAmps is the DC current of an inverter at its full power and the lowest
// voltage that it runs at, in A: P / (V·η), with 0.875 of the nominal voltage (11.2 V
// of 12.8 V; common practice, no source) and an efficiency of 0.88 (common practice,
// no source).
func inverterAmps(va, nominal float64) float64 {
	if va <= 0 || nominal <= 0 {
		return 0
	}
	return va / (0.875 * nominal * 0.88)
}

// mainFuse is the class T rating nearest above 1.25 times a current, in A.
func mainFuse(amps float64) float64 {
	if amps <= 0 {
		return 0
	}
	fuse := components.Part{Kind: &components.Fuse, Spec: components.Spec{"family": components.Str("class-t")}}
	best := 0.0
	for _, r := range checks.Ratings(fuse) {
		if best = r; r >= 1.25*amps-0.5 {
			return r
		}
	}
	return math.Max(best, 0)
}

// FirstSheet draws a first sheet by the rules of the window.
func (s *Session) FirstSheet(a Answers) (*components.Document, error) { return FirstSheet(a, s.book) }
