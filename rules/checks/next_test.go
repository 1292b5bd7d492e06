package checks

import (
	"context"
	"fmt"
	"path/filepath"
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

// told is everything that a person reads of a report.
func told(r *rules.Report) []string {
	var all []string
	for _, f := range append(r.All(), r.Unchecked...) {
		all = append(all, fmt.Sprint(f.Rule.ID, f.Level, f.At, f.Also, f.Message, f.Working, f.RestsOn, f.States, len(f.Fixes)))
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
