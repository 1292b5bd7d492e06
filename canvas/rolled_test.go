package canvas

import (
	"fmt"
	"slices"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The tab key goes through every field of the details, and each is seen when the
// keyboard is at it; so it is in the findings.
func TestTheKeyboardSeesWhereItIs(t *testing.T) {
	h := newHandAt(t, "kitchen-trailer")
	h.win.Resize(fyne.NewSize(1280, 720))
	h.s.Select("BAT1")
	c := h.win.Canvas()
	c.Content().Refresh()
	c.Focus(h.details.rows[0].control.(fyne.Focusable))
	rolled := map[string]bool{}
	for range 60 {
		c.FocusNext()
		o := c.Focused().(fyne.CanvasObject)
		for name, roll := range map[string]fyne.CanvasObject{"details": h.details.roll, "findings": h.findings.roll} {
			if rollOf(roll, o, h.details.roll) == nil {
				continue
			}
			rolled[name] = true
			at, from := h.app.Driver().AbsolutePositionForObject(o).Y, h.app.Driver().AbsolutePositionForObject(roll).Y
			assert.GreaterOrEqual(t, at, from-1, "%s: %T", name, o)
			assert.LessOrEqual(t, at+min(o.Size().Height, 20), from+roll.Size().Height+1, "%s: %T", name, o)
		}
	}
	assert.Len(t, rolled, 2)
}

// Letters typed in one go find a word in a long list; a pause begins another.
func TestAListIsFoundInByTyping(t *testing.T) {
	c := newPickList([]string{"BAT1.pos", "BAT1.neg", "BUS1.bar", "BUS2.bar", "CH1.stud"})
	kind := func(text string) string {
		for _, r := range text {
			c.TypedRune(r)
		}
		return c.Selected
	}
	assert.Equal(t, "BUS2.bar", kind("bus2"))
	c.typed.last = c.typed.last.Add(-2 * otherWord)
	assert.Equal(t, "BAT1.pos", kind("b"))
	c.typed.last = c.typed.last.Add(-2 * otherWord)
	assert.Equal(t, "BAT1.neg", kind("b"), "the same letter again goes on")
	c.typed.last = c.typed.last.Add(-2 * otherWord)
	assert.Equal(t, "CH1.stud", kind("cx"), "what nothing begins with begins anew and finds nothing")
	c.typed.last = c.typed.last.Add(-2 * otherWord)
	assert.Equal(t, "BAT1.neg", kind("neg"), "where no entry begins so, one in which a later word does")
}

// An open list takes letters as a closed one does: they move the mark, the return key
// takes the word, and the escape key leaves the list as it was.
func TestAnOpenListIsFoundInByTyping(t *testing.T) {
	h := newHandAt(t, "kitchen-trailer")
	h.win.Resize(fyne.NewSize(1280, 720))
	h.s.Select("PNL1")
	list := h.row("Status").control.(*pickList)
	c := h.win.Canvas()
	c.Focus(list)
	key := func(name fyne.KeyName) { c.Focused().TypedKey(&fyne.KeyEvent{Name: name}) }
	kind := func(text string) {
		for _, r := range text {
			c.Focused().TypedRune(r)
		}
	}
	before := list.Selected
	for _, way := range []struct {
		name, text string
		keys       []fyne.KeyName
		want       string
	}{
		{"left", "ex", []fyne.KeyName{fyne.KeyEscape}, before},
		{"a letter", "e", []fyne.KeyName{fyne.KeyReturn}, "existing"},
		{"letters and an arrow", "exi", []fyne.KeyName{fyne.KeyDown, fyne.KeySpace}, "remove"},
		{"the first", "", []fyne.KeyName{fyne.KeyHome, fyne.KeyReturn}, list.Options[0]},
		{"the last", "", []fyne.KeyName{fyne.KeyEnd, fyne.KeyReturn}, list.Options[len(list.Options)-1]},
		{"no such word", "q", []fyne.KeyName{fyne.KeyReturn}, list.Options[len(list.Options)-1]},
	} {
		key(fyne.KeySpace)
		require.IsType(t, &pickMenu{}, c.Focused(), way.name)
		kind(way.text)
		for _, k := range way.keys {
			key(k)
		}
		assert.Nil(t, c.Overlays().Top(), way.name)
		assert.Equal(t, way.want, list.Selected, way.name)
		assert.Same(t, list, c.Focused(), "%s: the keyboard comes back", way.name)
	}
}

// A click opens a list, another takes the word that it is on, and one beside it closes it.
// A list that is longer than the window ends in it, and shows the word that is chosen.
func TestAListIsChosenFromByPointer(t *testing.T) {
	h := newHandAt(t, "kitchen-trailer")
	h.win.Resize(fyne.NewSize(1280, 720))
	h.s.Select("PNL1")
	list := h.row("Status").control.(*pickList)
	test.Tap(list)
	test.Tap(list.open.words[slices.Index(list.Options, "remove")])
	assert.Equal(t, "remove", list.Selected)
	test.Tap(list)
	top := h.win.Canvas().Overlays().Top()
	require.Same(t, list.open.pop, top)
	test.TapAt(top.(fyne.Tappable), fyne.NewPos(3, 3))
	assert.Nil(t, h.win.Canvas().Overlays().Top())
	var many []string
	for i := range 120 {
		many = append(many, fmt.Sprintf("word %d", i))
	}
	list.Options = many
	list.Selected = many[100]
	test.Tap(list)
	m := list.open
	at := h.app.Driver().AbsolutePositionForObject(m)
	assert.GreaterOrEqual(t, at.Y, float32(0))
	assert.LessOrEqual(t, at.Y+m.Size().Height, float32(720))
	y := m.words[100].Position().Y - m.roll.Offset.Y
	assert.True(t, y >= 0 && y+m.words[100].Size().Height <= m.roll.Size().Height, "%g of %g", y, m.roll.Size().Height)
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

// Two ports are connected by typing alone: the lists are found in by the letters of a
// port, and the return key goes on.
func TestPortsAreConnectedByTyping(t *testing.T) {
	h := newHand(t)
	h.s.ZoomTo(1)
	h.fromShelf("shore", h.s.View.ToSheet(200, 200))
	h.fromShelf("inlet", h.s.View.ToSheet(400, 200))
	h.s.Select()
	h.askConnect()
	kind := func(text string) {
		list := h.win.Canvas().Focused().(*pickList)
		for _, r := range text {
			list.TypedRune(r)
		}
		list.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	}
	kind("sh1.out")
	kind("inl1.s")
	runs := h.s.Doc().Runs()
	require.Len(t, runs, 1)
	assert.Equal(t, "SH1.out INL1.site", runs[0].From.String()+" "+runs[0].To.String())
	assert.Nil(t, h.win.Canvas().Overlays().Top())
}
