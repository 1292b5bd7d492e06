package session

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
)

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
