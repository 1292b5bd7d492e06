package checks

import (
	"context"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/rules"
)

// A check out of the one before finds what a check from the beginning finds, to the
// letter: after every edit of a figure, a place, a part or a run, and back again.
func TestCheckNextIsAsAnew(t *testing.T) {
	paths, err := filepath.Glob("../../projects/samples/*.yaml")
	require.NoError(t, err)
	require.NotEmpty(t, paths)
	for _, path := range paths {
		doc := load(t, path)
		report := check(t, doc)
		for _, edits := range editsOf(doc) {
			next, err := doc.Apply(edits...)
			if err != nil {
				continue
			}
			for _, d := range []*components.Document{next, doc} {
				report, err = rules.CheckNext(context.Background(), report, d, All)
				require.NoError(t, err)
				anew := check(t, d)
				assert.Equal(t, told(anew), told(report), "%s after %v", path, edits)
			}
		}
	}
}

// The same along a way of many edits, one after the other, of every sort of figure,
// on rigs in which rules speak: what one edit silences the next may wake. Now and then
// it goes on from a document of before, as after an undo.
func TestCheckNextAlongAWay(t *testing.T) {
	long, short := 150, 25
	if testing.Short() {
		long, short = 30, 4
	}
	for pattern, steps := range map[string]int{"../../projects/samples/broken/*.yaml": long, "../../testdata/rules/*.yaml": short} {
		paths, err := filepath.Glob(pattern)
		require.NoError(t, err)
		require.NotEmpty(t, paths)
		for n, path := range paths {
			alongAWay(t, path, load(t, path), uint64(n), steps)
		}
	}
}

func alongAWay(t *testing.T, name string, doc *components.Document, seed uint64, steps int) {
	t.Helper()
	dice := rand.New(rand.NewPCG(7, seed))
	report, been := check(t, doc), []*components.Document{doc}
	var way []components.Edit
	for len(way) < steps {
		if dice.IntN(6) == 0 {
			doc = been[dice.IntN(len(been))]
		}
		edit := figureEdit(doc, dice)
		next, err := doc.Apply(edit)
		if err != nil {
			continue // out of its range
		}
		doc, way, been = next, append(way, edit), append(been, next)
		report, err = rules.CheckNext(context.Background(), report, doc, All)
		require.NoError(t, err)
		require.Equal(t, told(check(t, doc)), told(report), "%s after %v", name, way)
	}
}

// And of what a rule finds out from the wiring once and asks again after each edit: the
// figures are those of now.
func TestCheckNextKeepsNoFigure(t *testing.T) {
	length := func(feet float64) components.Edit { return num("W9", "length_ft", feet) }
	breaker := func(first float64) components.Edit {
		return withRows("PNL1", circuitRow("", first), circuitRow("", 15))
	}
	beside := drawn("W99", "BAT1.neg", "BUS1.bar", "10 AWG", components.Neg)
	shared := []components.Edit{breaker(15),
		components.AddPart{Part: components.Part{ID: "LD2", Kind: &components.ACLoad, At: components.Point{X: 840, Y: 300}, Spec: components.Spec{"va": amount(100)}}},
		drawn("W22", "PNL1.c2", "LD2.in", "14 AWG", components.L, components.G), drawn("W32", "LD2.in", "LD1.in", "14 AWG", components.N)}
	for name, of := range map[string]struct{ draw, edits []components.Edit }{
		"two ways back":    {[]components.Edit{beside, length(1)}, []components.Edit{length(90), length(2), num("W99", "length_ft", 40), word("W9", "size", "10 AWG"), length(1)}},
		"a shared neutral": {shared, []components.Edit{word("W5", "size", "10 AWG"), breaker(10), word("W5", "size", "14 AWG"), breaker(20), num("W5", "terminal_c", 75)}},
	} {
		doc, err := load(t, oneBlock).Apply(of.draw...)
		require.NoError(t, err, name)
		report := check(t, doc)
		for _, edit := range of.edits {
			doc, err = doc.Apply(edit)
			require.NoError(t, err, name)
			report, err = rules.CheckNext(context.Background(), report, doc, All)
			require.NoError(t, err)
			require.Equal(t, told(check(t, doc)), told(report), "%s after %v", name, edit)
		}
	}
}

// figureEdit changes some figure of some part or run, or makes it unknown.
func figureEdit(doc *components.Document, dice *rand.Rand) components.Edit {
	var on components.ID
	var spec components.Spec
	fields := components.RunFields
	if runs := doc.Runs(); dice.IntN(3) == 0 {
		r := runs[dice.IntN(len(runs))]
		on, spec = r.ID, r.Spec
	} else {
		p := doc.Parts()[dice.IntN(len(doc.Parts()))]
		on, fields, spec = p.ID, p.Kind.Fields, p.Spec
	}
	if len(fields) == 0 {
		return components.PinPart{ID: on, Pinned: true}
	}
	f := &fields[dice.IntN(len(fields))]
	now, _ := f.Of(spec)
	v := components.Unknown
	switch {
	case dice.IntN(8) == 0:
	case f.Type == components.Number && len(f.OneOf) > 0:
		v = components.Num(f.OneOf[dice.IntN(len(f.OneOf))])
	case f.Type == components.Number && f.Whole:
		v = components.Num(now.Num() + float64(dice.IntN(3)-1))
	case f.Type == components.Number:
		v = components.Num(now.Num() * (0.5 + 1.5*dice.Float64()))
	case f.Type == components.Truth:
		v = components.Yes(!now.Truth())
	case len(f.Choices) > 0 && f.Type == components.Choice:
		v = components.Str(f.Choices[dice.IntN(len(f.Choices))])
	case f.Type == components.WireSize:
		v = components.Str([]string{"14 AWG", "10 AWG", "6 AWG", "2 AWG", "2/0 AWG"}[dice.IntN(5)])
	case f.Type == components.Text:
		v = components.Str([]string{"red", "black", "green", "bay"}[dice.IntN(4)])
	case f.Type == components.Rows && len(now.Rows()) > 0:
		rows := slices.Clone(now.Rows())
		i := dice.IntN(len(rows))
		rows[i] = rows[i].With("breaker_a", components.Num(float64(10+5*dice.IntN(6))))
		v = components.Table(rows...)
	}
	return components.Set{On: on, Key: f.Key, Value: v}
}

// told is everything that a person reads of a report.
func told(r *rules.Report) []string {
	var all []string
	for _, f := range append(r.All(), r.Unchecked...) {
		all = append(all, fmt.Sprint(f.Rule.ID, f.Level, f.At, f.Also, f.Message, f.Working, f.RestsOn, f.States, f.Fixes))
	}
	return all
}

// editsOf are an edit of every run's length and size, and of every part's first
// told number; and parts taken out and moved.
func editsOf(doc *components.Document) (all [][]components.Edit) {
	for i, r := range doc.Runs() {
		if i%4 == 0 {
			all = append(all, []components.Edit{components.Set{On: r.ID, Key: "length_ft", Value: components.Num(40)}})
		}
		if i%7 == 0 {
			all = append(all, []components.Edit{components.Set{On: r.ID, Key: "size", Value: components.Str("14 AWG")}}, []components.Edit{components.RemoveRun{ID: r.ID}})
		}
	}
	for i, p := range doc.Parts() {
		if i%5 == 0 {
			all = append(all, []components.Edit{components.MovePart{ID: p.ID, At: components.Point{X: p.At.X + 10, Y: p.At.Y}, Turn: p.Turn}})
		}
		for _, f := range p.Kind.Fields {
			if v, told := p.Spec[f.Key]; told && f.Type == components.Number && !v.IsUnknown() && i%3 == 0 {
				all = append(all, []components.Edit{components.Set{On: p.ID, Key: f.Key, Value: components.Num(1.1 * v.Num())}})
				break
			}
		}
	}
	return all
}
