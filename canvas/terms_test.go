package canvas

import (
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
)

// A caravan is told of in its own words everywhere in the window, as in its hand-off;
// what the owner wrote stays, and with the rule set the words go.
func TestACaravanIsToldInItsOwnWords(t *testing.T) {
	h := newHand(t)
	sample, ok := projects.FindSample("caravan-230")
	require.True(t, ok)
	h.s.Start(sample.Document())
	h.settle()
	assert.Equal(t, []string{"As drawn", "Mains hook-up", "Off grid"}, h.strip.names)
	assert.Contains(t, h.findings.sieve.states.Options, "Mains hook-up")
	assert.Contains(t, h.onShelf(), "Caravan inlet")
	assert.Contains(t, h.onShelf(), "Distribution board")
	h.strip.row.Objects[1].(*tipButton).OnTapped()
	h.settle()
	assert.Equal(t, "Shore", h.s.State(), "the file keeps its word")
	assert.Equal(t, "In the state Mains hook-up", h.details.title.Text)
	live, ok := h.s.Live()
	require.True(t, ok)
	assert.Contains(t, live.Lines[0], "neutral meets earth")
	assert.Equal(t, "N–PE of SH1", live.Tags[0].Text)
	h.s.Select("INL1")
	assert.Equal(t, "INL1  Caravan inlet", h.details.title.Text)

	e := h.s.Doc().Project()
	e.Basis = components.USVehicle
	require.NoError(t, h.s.Do("Change the rule set", e))
	h.settle()
	assert.Equal(t, []string{"As drawn", "Shore", "Off grid"}, h.strip.names)
	assert.Contains(t, h.onShelf(), "Shore inlet")
	assert.Equal(t, "INL1  Shore inlet", h.details.title.Text)
}

// onShelf is the names on the shelf.
func (h *hand) onShelf() (names []string) {
	for _, it := range h.shelf.items {
		names = append(names, it.CreateRenderer().(*shelfItemRenderer).name.Text)
	}
	return names
}

// The wheel rolls the details wherever the pointer is, on a text field too.
func TestTheWheelRollsTheDetails(t *testing.T) {
	h := newHand(t)
	h.win.Resize(fyne.NewSize(1280, 720))
	field := h.details.rows[2].control
	at := h.app.Driver().AbsolutePositionForObject(field).AddXY(10, 10)
	o, _ := h.objectAt(at, func(o fyne.CanvasObject) bool { _, ok := o.(fyne.Scrollable); return ok })
	o.(fyne.Scrollable).Scrolled(&fyne.ScrollEvent{Scrolled: fyne.NewDelta(0, -40)})
	assert.Greater(t, h.details.roll.Offset.Y, float32(0))
}

// A long text is shown whole, in as many lines as it takes.
func TestALongTextIsShownWhole(t *testing.T) {
	h := newHand(t)
	row := func(title string) *entry {
		for _, r := range h.details.rows {
			if r.title == title {
				return r.control.(*entry)
			}
		}
		t.Fatal("no row " + title)
		return nil
	}
	line := row("Date").MinSize().Height
	title := row("Title")
	assert.InDelta(t, line, title.MinSize().Height, 4)
	e := h.s.Doc().Project()
	e.Title = "The bus that lends books in four villages and one town, rebuilt for the winter"
	require.NoError(t, h.s.Do("Change the title", e))
	assert.Greater(t, title.MinSize().Height, 2*line)
	assert.Equal(t, e.Title, title.Text)
	h.win.Canvas().Focus(title)
	title.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	assert.Equal(t, e.Title, h.s.Doc().Title, "the return key takes the text and breaks no line")
	assert.False(t, title.AcceptsTab())
}
