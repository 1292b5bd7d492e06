package session

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
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

	next := &Journal{dirs: []string{dir}, pid: j.pid + 1}
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
