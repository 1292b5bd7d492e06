package scene

import (
	"flag"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
)

var update = flag.Bool("update", false, "rewrite golden files")

func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name)
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, string(want), got)
}

func TestListing(t *testing.T) {
	golden(t, "lamp.txt", Draw(lamp(t), Options{}).String())
}

func TestListingWithFrameMarksAndState(t *testing.T) {
	sheet := Draw(lamp(t), Options{
		Frame: true, List: true,
		Meta:  Meta{Sheet: 2, Of: 3, Rules: "us-rv, first edition", Subtitle: "Findings marked"},
		Marks: []Mark{{Address: "W3", Level: UncheckedMark, Number: 1, Text: "W3: no size given"}, {Address: "F1", Level: DangerMark, Number: 2, Text: "F1 is too large"}},
		Live:  map[components.ID]LiveRun{"W1": {Figure: "2 A"}, "W3": {Dead: true}, "DL1": {Dead: true}},
	})
	golden(t, "lamp_framed.txt", sheet.String())
}

func TestSameDocumentSameSheet(t *testing.T) {
	for _, doc := range testDocuments(t) {
		first := Draw(doc, Options{Frame: true}).String()
		require.Equal(t, first, Draw(doc, Options{Frame: true}).String(), doc.Title)
	}
}

func TestHit(t *testing.T) {
	s := Draw(lamp(t), Options{})
	for _, c := range []struct {
		name string
		x, y float64
		want string
	}{
		{"a port before its part", 180, 100, "F1.line"},
		{"beside a port, within reach", 183, 103, "F1.line"},
		{"a part", 200, 101, "F1"},
		{"a run", 270, 102, "W2"},
		{"inside the box around a bent run, far from its line", 120, 118, ""},
		{"nothing", 500, 500, ""},
	} {
		got, ok := s.Hit(c.x, c.y, 6)
		assert.Equal(t, c.want, got, c.name)
		assert.Equal(t, c.want != "", ok, c.name)
	}
}

func TestUnknownFiguresAreAsked(t *testing.T) {
	texts := textsOf(Draw(lamp(t), Options{}), "W3")
	assert.Contains(t, texts, "W3 · ? · − · ? ft")
}

func textsOf(s *Sheet, address string) []string {
	var texts []string
	for _, sh := range s.Shapes {
		if sh.Form == Text && sh.Address == address {
			texts = append(texts, sh.Text)
		}
	}
	return texts
}

// Every run's tag stands on the sheet, with its size and its length.
func TestEveryRunIsLabelled(t *testing.T) {
	for _, doc := range testDocuments(t) {
		s := Draw(doc, Options{Frame: true})
		d := NewPlan(doc).drawing(Options{})
		for _, r := range doc.Runs() {
			all := ""
			for _, text := range textsOf(s, string(r.ID)) {
				all += text + " "
			}
			for _, fact := range d.runFacts(r) {
				assert.Contains(t, all, fact, "%s: %s", doc.Title, r.ID)
			}
		}
		for _, p := range doc.Parts() {
			assert.Contains(t, textsOf(s, string(p.ID)), string(p.ID), doc.Title)
		}
	}
}

// What comes out is thin and crossed, what stays is thin, what is new is wide.
func TestStatusIsDrawn(t *testing.T) {
	for _, c := range []struct {
		status  components.Status
		weight  components.Weight
		crosses int
	}{{components.New, components.Wide, 0}, {components.Existing, components.Thin, 0}, {components.Remove, components.Thin, 1}} {
		doc := lamp(t)
		w2, _ := doc.Run("W2")
		changed := w2.Rerouted()
		changed.Status = c.status
		doc, err := doc.Apply(components.Describe{ID: "F1", Status: c.status}, changed)
		require.NoError(t, err)
		s := Draw(doc, Options{})
		strokes, struck := 0, 0
		for _, sh := range s.Shapes {
			if sh.Form != Polyline || sh.Address != "W2" && sh.Address != "F1" {
				continue
			}
			if len(sh.Pts) == 2 && sh.Pts[0].X != sh.Pts[1].X && sh.Pts[0].Y != sh.Pts[1].Y {
				struck++
				continue
			}
			if sh.Layer != LabelLayer {
				strokes++
				assert.Equal(t, c.weight, sh.Weight, "%s: %s", c.status, sh)
			}
		}
		assert.Positive(t, strokes)
		assert.Equal(t, c.crosses > 0, struck > 0, "%s: %d slanting strokes", c.status, struck)
	}
}

// A note that begins with a number is not read as one with its own.
func TestTheNumberOfANoteStandsApart(t *testing.T) {
	s := Draw(testDocuments(t)[0], Options{Frame: true, Meta: Meta{Notes: []string{"5 dangers: do not energize."}}})
	assert.True(t, slices.ContainsFunc(s.Shapes, func(sh Shape) bool { return sh.Text == "1.\u20025 dangers: do not energize." }))
}
