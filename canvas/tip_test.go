package canvas

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	fynecanvas "fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/canvas/session"
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

// News that is longer than its place is told in full under the pointer, within the
// window; what is seen whole needs no more words.
func TestNewsThatIsCutIsToldInFull(t *testing.T) {
	h := newHand(t)
	h.s.Tell(session.Plain, "Saved")
	h.readiness.news.MouseIn(&desktop.MouseEvent{})
	assert.False(t, h.readiness.news.cut())
	h.s.Tell(session.Plain, "%s", strings.Repeat("Written with many more words than there is room for. ", 8))
	require.True(t, h.readiness.news.cut())
	h.readiness.news.MouseIn(&desktop.MouseEvent{})
	h.await("told", func() bool { return h.tips.layer.Visible() })
	low := h.tips.back.Position().Y + h.tips.back.Size().Height
	assert.True(t, h.tips.back.Position().Y > 0 && low <= h.win.Canvas().Size().Height, "it lies within the window")
	h.readiness.news.MouseOut()
	assert.False(t, h.tips.layer.Visible())
}
