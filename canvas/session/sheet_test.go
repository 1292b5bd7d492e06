package session

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/scene"
)

func TestBeforeAndAfter(t *testing.T) {
	b := newBench(t)
	b.place("battery", 200, 300)
	b.place("fuse", 400, 200)
	b.place("inverter", 600, 300)
	p := b.part("BAT1").Described()
	p.Status = components.Existing
	q := b.part("INV1").Described()
	q.Status = components.Remove
	require.NoError(t, b.Do("Describe", p, q))
	shown := func() []components.ID {
		var ids []components.ID
		for _, part := range b.Doc().Parts() {
			if _, ok := b.Sheet().Bodies[part.ID]; ok {
				ids = append(ids, part.ID)
			}
		}
		return ids
	}
	assert.Equal(t, []components.ID{"BAT1", "F1", "INV1"}, shown())
	b.ShowPhase(Before)
	assert.Equal(t, []components.ID{"BAT1", "INV1"}, shown())
	b.ShowPhase(After)
	assert.Equal(t, []components.ID{"BAT1", "F1"}, shown())
	assert.Len(t, b.Doc().Parts(), 3, "nothing is taken out")
}

func TestAMarkLeadsToItsFinding(t *testing.T) {
	b := newBench(t)
	b.place("battery", 200, 400)
	b.place("busbar", 500, 300)
	b.connect("BAT1.pos", "BUS1.bar")
	b.settle()
	report, _ := b.Report()
	require.NotEmpty(t, report.Findings)
	for _, sh := range b.Sheet().Shapes {
		if sh.Layer == scene.MarkLayer && sh.Text == "1" {
			box := sh.Box()
			x, y := (box.Min.X+box.Max.X)/2, (box.Min.Y+box.Max.Y)/2
			b.Select()
			b.Press(at(x, y))
			b.Release(at(x, y))
			assert.Equal(t, 1, b.Wanted())
			id, _ := b.Owner(report.Findings[0].At)
			assert.Equal(t, []components.ID{id}, b.Selected())
			return
		}
	}
	t.Fatal("no mark on the sheet")
}
