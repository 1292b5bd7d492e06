package session

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/scene"
	"rigline/projects"
)

// With patience, an edit brings its findings along, told once; the drawing with
// their marks follows. Without, they come when they are there.
func TestAnEditBringsItsFindings(t *testing.T) {
	for _, patience := range []time.Duration{0, time.Minute} {
		b := newBench(t)
		sample, ok := projects.FindSample("library-bus")
		require.True(t, ok)
		b.Start(sample.Document())
		b.settle()
		b.Patience(patience)
		checked := 0
		b.Watch(func(c Change) {
			if c&CheckedChanged != 0 {
				checked++
			}
		})
		require.NoError(t, b.Do("Lengthen", components.Set{On: b.Doc().Runs()[0].ID, Key: "length_ft", Value: components.Num(3)}))
		report, current := b.Report()
		assert.Equal(t, patience > 0, current)
		assert.Equal(t, 1, checked)
		b.settle()
		after, current := b.Report()
		require.True(t, current)
		if patience > 0 {
			assert.Same(t, report, after)
			assert.Equal(t, 1, checked, "what was taken is not taken again")
		} else {
			assert.Equal(t, 2, checked)
		}
	}
}

// A rig that is drawn while the person waits when it takes no time is patched where its
// last drawing took long; the whole drawing follows, and is the one that it would have
// been at once.
func TestACrowdedSheetIsPatchedFirst(t *testing.T) {
	for _, took := range []time.Duration{0, time.Second} {
		b := newBench(t)
		sample, ok := projects.FindSample("camper-van")
		require.True(t, ok)
		b.Start(sample.Document())
		b.Patience(time.Minute)
		b.Sheet()
		b.settle()
		b.took = took
		p := b.Doc().Parts()[0]
		require.NoError(t, b.Do("Move", components.MovePart{ID: p.ID, At: p.At.Add(components.Point{X: 20}), Turn: p.Turn}))
		b.Sheet()
		assert.Equal(t, took == 0, b.WholeDrawn())
		b.settle()
		require.True(t, b.WholeDrawn())
		report, _ := b.Report()
		assert.Equal(t, scene.Draw(b.Doc(), scene.Options{Frame: true, Marks: marksOf(report), Paper: b.Sheet().Paper}), b.Sheet())
	}
}
