package session

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"rigline/components"
	"rigline/export/scene"
)

func TestTidyKeepsEveryRunAndLaysNothingOnAnother(t *testing.T) {
	for _, name := range []string{"van-12v", "trailer-30a", "bus-50a"} {
		b := newBench(t)
		b.Start(sample(t, name))
		runs := len(b.Doc().Runs())
		b.Tidy()
		for b.UndoLabel() == "" {
			(<-b.late)()
		}
		assert.Equal(t, "Tidy the sheet", b.UndoLabel())
		assert.Len(t, b.Doc().Runs(), runs)
		bodies := b.Sheet().Bodies
		for id, x := range bodies {
			for other, y := range bodies {
				if components.CompareIDs(id, other) < 0 && x.Min.X < y.Max.X && y.Min.X < x.Max.X && x.Min.Y < y.Max.Y && y.Min.Y < x.Max.Y {
					t.Errorf("%s: %s lies on %s", name, id, other)
				}
			}
		}
		for _, p := range b.Doc().Parts() {
			assert.Zero(t, p.At.X%components.Module, p.ID)
			assert.Zero(t, p.At.Y%components.Module, p.ID)
		}
		assert.Equal(t, scene.Draw(b.Doc(), scene.Options{Frame: true}).Paper, b.Sheet().Paper, "%s: the paper is laid around it anew", name)
		b.Undo()
		assert.False(t, b.Dirty(), "one step")
	}
}

// Pinned parts stay, and so does all that is not selected.
func TestTidyRespectsWhatIsPinned(t *testing.T) {
	b := newBench(t)
	b.Start(sample(t, "bus-50a"))
	before := map[components.ID]components.Point{}
	for _, p := range b.Doc().Parts() {
		before[p.ID] = p.At
	}
	pins := []components.ID{b.Doc().Parts()[0].ID, b.Doc().Parts()[5].ID}
	b.Select(pins...)
	b.Pin()
	assert.True(t, b.Pinned(pins[0]))
	b.Undo()
	assert.False(t, b.Pinned(pins[0]), "pinning is a step like any other")
	b.Redo()
	assert.True(t, b.Pinned(pins[0]))
	wait := func(label string) {
		for b.UndoLabel() != label {
			(<-b.late)()
		}
	}
	b.Tidy()
	wait("Tidy the sheet")
	moved := 0
	for _, p := range b.Doc().Parts() {
		if p.At != before[p.ID] {
			moved++
		}
	}
	assert.Positive(t, moved)
	for _, id := range pins {
		assert.Equal(t, before[id], b.part(id).At)
	}
	b.Undo()
	b.Select(pins...)
	b.Pin()
	assert.False(t, b.Pinned(pins[0]))
	some := []components.ID{b.Doc().Parts()[1].ID, b.Doc().Parts()[2].ID, b.Doc().Parts()[3].ID}
	b.Select(some...)
	b.TidySelected()
	wait("Tidy 3 parts")
	for _, p := range b.Doc().Parts() {
		if p.ID != some[0] && p.ID != some[1] && p.ID != some[2] {
			assert.Equal(t, before[p.ID], p.At, p.ID)
		}
	}
}
