package scene

import (
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"rigline/components"
	"rigline/projects"
)

// testDocuments are rigs made here, every drawing that comes with the program, and
// the fifteen usual arrangements.
func testDocuments(tb testing.TB) []*components.Document {
	docs := []*components.Document{lamp(tb), bigRig(tb, 60), surveyed(tb)}
	shelves := [][]projects.Sample{projects.Samples(), projects.BrokenSamples(), projects.Starts()}
	for _, shelf := range shelves {
		for _, s := range shelf {
			doc, _, err := projects.Read(s.Name+".yaml", s.Data)
			if err != nil {
				tb.Fatal(err)
			}
			docs = append(docs, doc)
		}
	}
	files, err := filepath.Glob("../../testdata/topologies/*.yaml")
	if err != nil || len(files) != 15 {
		tb.Fatal("not fifteen arrangements", len(files), err)
	}
	for _, f := range files {
		doc, _, err := projects.Load(f)
		if err != nil {
			tb.Fatal(err)
		}
		docs = append(docs, doc)
	}
	return docs
}

// surveyed is a rig with figures that nobody knows yet, and with revisions.
func surveyed(tb testing.TB) *components.Document {
	doc, err := lamp(tb).Apply(
		components.Set{On: "F1", Key: "rating_a", Value: components.Unknown},
		components.Set{On: "BAT1", Key: "capacity_ah", Value: components.Unknown},
		components.SetRevisions{Revisions: []components.Revision{{Letter: "A", Date: "2026-11-25", What: "As found"}, {Letter: "B", Date: "2026-12-01", What: strings.Repeat("New bank ", 30), By: "the fitter"}}})
	if err != nil {
		tb.Fatal(err)
	}
	return doc
}

// inSymbol tells whether a shape is part of a symbol or a mark, whose letters
// belong to it.
func inSymbol(sh Shape) bool { return sh.Layer == PartLayer || sh.Layer == MarkLayer }

// No text meets another text, a line, or a symbol.
func TestNothingOverlaps(t *testing.T) {
	for _, doc := range testDocuments(t) {
		for _, o := range []Options{{Frame: true, Meta: Meta{Notes: someNotes}}, {Live: everythingLive(doc), Marks: bonded(doc)}, {Frame: true, Live: everythingLive(doc)}, {Frame: true, Marks: everythingMarked(doc), List: true}} {
			t.Run(fmt.Sprintf("%s frame %v live %v marks %v", doc.Title, o.Frame, o.Live != nil, o.Marks != nil), func(t *testing.T) {
				for _, fault := range overlaps(Draw(doc, o)) {
					t.Error(fault)
				}
			})
		}
	}
}

var someNotes = []string{"Shore: SH1 feeds AC; neutral meets ground at SH1.", strings.Repeat("Every terminal is tightened by its own label and again after the first trip. ", 4), "Short."}

func bonded(doc *components.Document) []Mark {
	var marks []Mark
	for _, p := range doc.Parts() {
		if p.Kind.Role == components.Supplies || p.Kind.Role == components.Distributes {
			marks = append(marks, Mark{Address: string(p.ID), Letters: "N-G"})
		}
	}
	return marks
}

func everythingLive(doc *components.Document) map[components.ID]LiveRun {
	live := map[components.ID]LiveRun{}
	for i, r := range doc.Runs() {
		live[r.ID] = LiveRun{Figure: fmt.Sprintf("%d A · 121 V", 3*i), Dead: i%4 == 3}
	}
	return live
}

func everythingMarked(doc *components.Document) []Mark {
	var marks []Mark
	for i, p := range doc.Parts() {
		marks = append(marks, Mark{Address: string(p.ID), Level: Level(i % 4), Number: i + 1, Text: "What is there is held against what the rule asks, with both figures and the clause."})
	}
	return marks
}

// overlaps lists every text that stands where it must not.
func overlaps(s *Sheet) []string {
	var faults []string
	var texts []Shape
	areas := make([]Box, len(s.Shapes))
	for i, sh := range s.Shapes {
		areas[i] = sh.Box().grown(0.01)
		if sh.Form == Text {
			texts = append(texts, sh)
		}
	}
	fault := func(a Shape, what string, b fmt.Stringer) {
		faults = append(faults, fmt.Sprintf("%q of %s at %s stands on %s %s", a.Text, a.Address, a.Pts[0], what, b))
	}
	boxes := make([]Box, len(texts))
	for i, a := range texts {
		boxes[i] = a.Box()
	}
	for i, a := range texts {
		box := boxes[i]
		for k, b := range texts[i+1:] {
			if box.meets(boxes[i+1+k]) && !(a.Layer == MarkLayer && b.Layer == MarkLayer && a.Address == b.Address) {
				fault(a, "text", b)
			}
		}
		if inSymbol(a) {
			continue
		}
		for id, body := range s.Bodies {
			if box.meets(body) {
				fault(a, "symbol "+string(id), body)
			}
		}
		for k, b := range s.Shapes {
			if !box.meets(areas[k]) || b.Form == Text || b.Layer == FrameLayer && b.Form != Polyline && b.Form != Polygon || a.Layer == MarkLayer {
				continue
			}
			if meetsShape(box, b) {
				fault(a, "line", b)
			}
		}
	}
	return faults
}

// meetsShape tells whether an area is crossed by the strokes of a shape.
func meetsShape(box Box, sh Shape) bool {
	switch sh.Form {
	case Polyline, Polygon, Filled:
		n := len(sh.Pts)
		for i := 1; i < n; i++ {
			if crosses(sh.Pts[i-1], sh.Pts[i], box) {
				return true
			}
		}
		return sh.Form != Polyline && n > 2 && crosses(sh.Pts[n-1], sh.Pts[0], box)
	case Arc: // its own piece of the circle, in short strokes
		if !box.meets(sh.Box()) {
			return false
		}
		for a := sh.From; a < sh.To; a += 10 {
			p, q := onCircle(sh, a), onCircle(sh, min(a+10, sh.To))
			if crosses(p, q, box) {
				return true
			}
		}
		return false
	case Circle, Disc:
		return box.meets(sh.Box())
	}
	return false
}

// The whole drawing lands in the frame.
func TestDrawingLandsInTheFrame(t *testing.T) {
	for _, doc := range append(testDocuments(t), bigRig(t, 300)) {
		o := Options{Frame: true, Marks: everythingMarked(doc), List: true, Meta: Meta{Notes: someNotes}}
		s := Draw(doc, o)
		u := UnitsPerMM / s.Scale
		strip := 0.0
		for _, p := range append(slices.Clone(ansi), iso...) {
			if p.name == s.Size {
				strip = (&drawing{doc: doc, o: o}).stripHeight(p)
			}
		}
		inner := Box{Pt{s.Paper.Min.X + leftMargin*u, s.Paper.Min.Y + margin*u}, Pt{s.Paper.Max.X - margin*u, s.Paper.Max.Y - (margin+bandHeight)*u - strip*u}}
		for _, sh := range s.Shapes {
			if sh.Layer == FrameLayer {
				continue
			}
			b := sh.Box()
			assert.True(t, inner.Holds(b.Min) && inner.Holds(b.Max), "%s: %s lies outside %s", doc.Title, sh, inner)
		}
		for _, sh := range s.Shapes {
			b := sh.Box()
			assert.True(t, s.Paper.grown(0.1).Holds(b.Min) && s.Paper.grown(0.1).Holds(b.Max), "%s: %s lies off the paper", doc.Title, sh)
		}
	}
}

// crosses tells whether a straight line meets an area (Liang and Barsky's clipping).
func crosses(a, b Pt, box Box) bool {
	t0, t1 := 0.0, 1.0
	clip := func(p, q float64) bool {
		if p == 0 {
			return q > 0
		}
		if p < 0 {
			t0 = max(t0, q/p)
		} else {
			t1 = min(t1, q/p)
		}
		return t0 < t1
	}
	dx, dy := b.X-a.X, b.Y-a.Y
	return clip(-dx, a.X-box.Min.X) && clip(dx, box.Max.X-a.X) && clip(-dy, a.Y-box.Min.Y) && clip(dy, box.Max.Y-a.Y)
}

func onCircle(sh Shape, deg float64) Pt {
	return Pt{sh.Pts[0].X + sh.R*math.Cos(deg*math.Pi/180), sh.Pts[0].Y + sh.R*math.Sin(deg*math.Pi/180)}
}

// The letters beside runs have one size, on every sheet: two would be taken for a
// difference between the runs.
func TestRunsAreLabelledInOneSize(t *testing.T) {
	for _, doc := range testDocuments(t) {
		for _, live := range []map[components.ID]LiveRun{nil, everythingLive(doc)} {
			for _, sh := range Draw(doc, Options{Live: live}).Shapes {
				if _, ok := doc.Run(components.ID(sh.Address)); ok && sh.Form == Text {
					assert.Equal(t, SmallHeight, sh.Height, "%s: %s", doc.Title, sh)
				}
			}
		}
	}
}
