package session

import (
	"fmt"
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

// A rig of whatever size waits for its findings where the last check was quick, and a
// large one whose last check was not, or that had none, does not.
func TestALargeRigWaitsWhereItsLastCheckWasQuick(t *testing.T) {
	for _, c := range []struct {
		name  string
		took  time.Duration
		waits bool
	}{{"none yet", 0, false}, {"quick", time.Second, true}, {"slow", time.Hour, false}} {
		b := newBench(t)
		sample, ok := projects.FindSample("library-bus")
		require.True(t, ok)
		b.Start(many(t, sample.Document(), soon))
		b.settle()
		b.Patience(time.Minute)
		b.checks.took = c.took
		require.NoError(t, b.Do("Lengthen", components.Set{On: b.Doc().Runs()[0].ID, Key: "length_ft", Value: components.Num(3)}))
		_, current := b.Report()
		assert.Equal(t, c.waits, current, c.name)
		b.settle()
		assert.Less(t, b.checks.took, time.Minute)
		assert.Positive(t, b.checks.took, "it is known now")
	}
}

// many is a rig laid beside itself until it has more than n parts and runs.
func many(t *testing.T, one *components.Document, n int) *components.Document {
	doc := components.NewDocument("many")
	for k := 0; size(doc) <= n; k++ {
		tag := func(id components.ID) components.ID { return components.ID(fmt.Sprintf("%sx%d", id, k)) }
		var edits []components.Edit
		for _, p := range one.Parts() {
			p.ID, p.At.X = tag(p.ID), p.At.X+1500*k
			edits = append(edits, components.AddPart{Part: p})
		}
		for _, r := range one.Runs() {
			r.ID, r.From.Part, r.To.Part, r.Path = tag(r.ID), tag(r.From.Part), tag(r.To.Part), nil
			edits = append(edits, components.AddRun{Run: r})
		}
		var err error
		doc, err = doc.Apply(edits...)
		require.NoError(t, err)
	}
	return doc
}

// What a run carries is told of the document that was checked: at once where it is, and
// where it is not as soon as it is.
func TestFactsFollowTheCheck(t *testing.T) {
	b := newBench(t)
	sample, ok := projects.FindSample("library-bus")
	require.True(t, ok)
	b.Start(sample.Document())
	told := ""
	ask := func() { b.Facts("W1", func(text string) { told = text }) }
	ask()
	assert.Empty(t, told, "nothing is checked yet")
	b.await(func() bool { return told != "" })
	assert.Contains(t, told, "may carry")
	first := told
	require.NoError(t, b.Do("Thinner", components.Set{On: "W1", Key: "size", Value: components.Str("14 AWG")}))
	ask()
	b.await(func() bool { return told != first })
	assert.Contains(t, told, "may carry 1", "15 or 20 A in place of 50")
}
