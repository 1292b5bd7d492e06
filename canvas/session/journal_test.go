package session

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/scene"
)

func TestLostWorkIsFoundAgain(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "unsaved")
	b := newBench(t)
	b.place("battery", 200, 300)
	j, err := NewJournal(dir)
	require.NoError(t, err)
	require.NoError(t, j.Keep("/rigs/van.yaml", b.Doc()))
	b.Nudge(1, 0)
	require.NoError(t, j.Keep("/rigs/van.yaml", b.Doc()))

	none, err := j.Lost(func(int) bool { return false })
	require.NoError(t, err)
	assert.Empty(t, none, "one's own copy is not lost")

	next := &Journal{dir: dir, pid: j.pid + 1}
	held, err := next.Lost(func(int) bool { return true })
	require.NoError(t, err)
	assert.Empty(t, held, "a window that is still open keeps its own")

	lost, err := next.Lost(func(int) bool { return false })
	require.NoError(t, err)
	require.Len(t, lost, 1, "one copy a window, the last")
	assert.Equal(t, "/rigs/van.yaml", lost[0].Project)
	other := newBench(t)
	require.NoError(t, other.Recover(lost[0]))
	assert.Equal(t, components.Point{X: 210, Y: 300}, other.part("BAT1").At)
	assert.True(t, other.Dirty(), "no file holds it")
	assert.Equal(t, "/rigs/van.yaml", other.Path())
	lost[0].Forget()
	lost, err = next.Lost(func(int) bool { return false })
	require.NoError(t, err)
	assert.Empty(t, lost)
}

func TestACopyIsDroppedOnceSaved(t *testing.T) {
	dir := t.TempDir()
	j, err := NewJournal(dir)
	require.NoError(t, err)
	require.NoError(t, j.Keep("", components.NewDocument("x")))
	files, _ := os.ReadDir(dir)
	assert.Len(t, files, 1)
	j.Drop()
	files, _ = os.ReadDir(dir)
	assert.Empty(t, files)
}

func TestMarkups(t *testing.T) {
	b := newBench(t)
	b.Take(&Markup{Form: "cloud"})
	b.drag(200, 200, 300, 260)
	require.NotNil(t, b.Wish())
	b.Grant("moved to the left bay", true)
	require.Len(t, b.Doc().Notes, 1)
	assert.Equal(t, components.Note{Form: "cloud", At: components.Point{X: 200, Y: 200}, To: components.Point{X: 300, Y: 260}, Text: "moved to the left bay"}, b.Doc().Notes[0])
	assert.Equal(t, "Add a cloud", b.UndoLabel())
	assert.Equal(t, []components.ID{"notes.1"}, b.Selected())

	b.drag(250, 200, 270, 230)
	assert.Equal(t, components.Point{X: 220, Y: 230}, b.Doc().Notes[0].At)
	assert.Equal(t, "Move the cloud", b.UndoLabel())
	b.Delete()
	assert.Empty(t, b.Doc().Notes)
	assert.Equal(t, "Delete 1 mark-up", b.UndoLabel())
	assert.Empty(t, b.Selected())

	b.Take(&Markup{Form: "note"})
	b.drag(400, 400, 400, 400)
	b.Grant("", false)
	assert.Empty(t, b.Doc().Notes, "no text, no note")
}

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
