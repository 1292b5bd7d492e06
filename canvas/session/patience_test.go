package session

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
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
