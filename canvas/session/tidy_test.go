package session

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"rigline/components"
)

func TestTidyKeepsEveryRunAndLaysNothingOnAnother(t *testing.T) {
	for _, name := range []string{"van-12v", "trailer-30a", "bus-50a"} {
		b := newBench(t)
		b.Start(sample(t, name))
		runs := len(b.Doc().Runs())
		b.Tidy()
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
		b.Undo()
		assert.False(t, b.Dirty(), "one step")
	}
}
