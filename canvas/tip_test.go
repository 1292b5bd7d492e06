package canvas

import (
	"testing"

	fynecanvas "fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every button of the bar tells in plain words what it does, with its key; the
// pointer that goes on takes the words away.
func TestTheBarTellsWhatItDoes(t *testing.T) {
	h := newHand(t)
	for _, c := range h.table {
		if c.icon != nil {
			assert.NotEmpty(t, commandHelp[c.name], "%s has no help", c.name)
		}
	}
	b := h.buttons["Undo"]
	require.NotNil(t, b)
	b.MouseIn(&desktop.MouseEvent{})
	h.await("told", func() bool { return h.tips.layer.Visible() })
	var words string
	for _, o := range h.tips.lines.Objects {
		words += o.(*fynecanvas.Text).Text + " "
	}
	assert.Contains(t, words, "Take the last step back")
	assert.Contains(t, words, "Ctrl+Z")
	size := h.win.Canvas().Size()
	assert.LessOrEqual(t, h.tips.back.Position().X+h.tips.back.Size().Width, size.Width)
	b.MouseOut()
	assert.False(t, h.tips.layer.Visible())
}
