package canvas

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/rules/checks"
)

func TestAnEmptyWindowOffersWaysToBegin(t *testing.T) {
	h := newHand(t)
	assert.True(t, h.first.box.Visible())
	h.board.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	assert.IsType(t, &pickList{}, h.win.Canvas().Focused(), "the return key takes the way that is marked: the first question")
	h.dismiss()
	h.press("Mobile library bus")
	assert.NotEmpty(t, h.s.Doc().Parts())
	assert.False(t, h.first.box.Visible())
}

// A new rig is begun by keys: the keyboard is at the first way, the tab key goes on.
func TestANewRigIsBegunByKeys(t *testing.T) {
	h := newHand(t)
	h.run(h.command("New"))
	first, ok := h.win.Canvas().Focused().(*keyButton)
	require.True(t, ok)
	assert.Equal(t, "Answer a few questions", first.Text)
	for range 3 { // past the empty one
		h.win.Canvas().FocusNext()
	}
	start := h.win.Canvas().Focused().(*keyButton)
	start.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	assert.Nil(t, h.win.Canvas().Overlays().Top())
	assert.NotEmpty(t, h.s.Doc().Parts(), start.Text)
	h.run(h.command("New"))
	h.win.Canvas().Focused().TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	assert.Nil(t, h.win.Canvas().Overlays().Top(), "escape leaves it")
}

func TestEmptyPaperStaysEmpty(t *testing.T) {
	h := newHand(t)
	h.press("Draw on empty paper")
	assert.False(t, h.first.box.Visible())
	h.fromShelf("battery", h.s.View.ToSheet(300, 300))
	assert.False(t, h.first.box.Visible())
}

// The window comes back as it was left.
func TestSizesAreRemembered(t *testing.T) {
	a := test.NewTempApp(t)
	a.Preferences().SetBool(prefCautions, true)
	post := func(f func()) {}
	e := New(a, post, checks.All)
	assert.Equal(t, fyne.NewSize(1280, 720), e.remembered())
	e.win.Resize(fyne.NewSize(1600, 1000))
	e.splits.shelf.SetOffset(0.2)
	e.splits.findings.SetOffset(0.3)
	e.rememberSizes()
	e.win.Close()
	again := New(a, post, checks.All)
	assert.Equal(t, fyne.NewSize(1600, 1000), again.remembered())
	assert.InDelta(t, 0.2, again.splits.shelf.Offset, 0.01)
	assert.InDelta(t, 0.3, again.splits.findings.Offset, 0.01)
	again.win.Close()
}

// Moving the border of the shelf is remembered, and leaves the details as wide as
// they were told to be.
func TestTheDetailsKeepTheirWidth(t *testing.T) {
	h := newHand(t)
	was := h.widths.details
	h.splits.shelf.SetOffset(0.3)
	h.widths.heed()
	assert.InDelta(t, 0.3*1440, h.widths.shelf, 1)
	assert.InDelta(t, was, h.widths.details, 0.01)
	h.win.Resize(fyne.NewSize(1900, 900))
	assert.InDelta(t, was, (1-h.splits.details.Offset)*(1900-h.widths.shelf), 1)
}
