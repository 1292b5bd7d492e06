package canvas

import (
	"testing"

	"fyne.io/fyne/v2"
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

// A wider window has a wider sheet; the columns beside it stay as they are.
func TestTheSheetTakesTheRoom(t *testing.T) {
	h := newHand(t)
	h.win.Resize(fyne.NewSize(1280, 720))
	shelf, details, sheet := h.shelf.box.Size().Width, h.details.box.Size().Width, h.board.Size().Width
	h.win.Resize(fyne.NewSize(3840, 2160))
	assert.InDelta(t, shelf, h.shelf.box.Size().Width, 8)
	assert.InDelta(t, details, h.details.box.Size().Width, 8)
	assert.Greater(t, h.board.Size().Width, sheet+2500)
	h.win.Resize(fyne.NewSize(1280, 720))
	assert.InDelta(t, details, h.details.box.Size().Width, 8)
}
