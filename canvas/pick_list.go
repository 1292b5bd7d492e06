package canvas

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"
)

// pickList is a list of words of which one is chosen, found in by typing whether it is
// open or not.
type pickList struct {
	widget.Select
	entered func() // the keyboard came in
	onward  func() // the return key was pressed
	typed   typed
	open    *pickMenu // the last time that it was
}

func newPickList(options []string) *pickList {
	c := &pickList{}
	c.Options, c.PlaceHolder = options, "choose one"
	c.ExtendBaseWidget(c)
	return c
}

// newPickListOf calls changed with what is chosen.
func newPickListOf(options []string, changed func(string)) *pickList {
	c := newPickList(options)
	c.OnChanged = changed
	return c
}

// FocusGained notes that the keyboard came in.
func (c *pickList) FocusGained() {
	c.Select.FocusGained()
	intoSight(c)
	if c.entered != nil {
		c.entered()
	}
}

// TypedRune chooses the word that the letters lead to.
func (c *pickList) TypedRune(r rune) {
	if at, ok := c.typed.find(c.Options, c.SelectedIndex(), r); ok && at != c.SelectedIndex() {
		c.SetSelectedIndex(at)
	}
}

// TypedKey opens the list, and leaves the window its own keys.
func (c *pickList) TypedKey(ev *fyne.KeyEvent) {
	switch ev.Name {
	case fyne.KeyReturn, fyne.KeyEnter:
		if c.onward != nil {
			c.onward()
		}
	case fyne.KeySpace, fyne.KeyUp, fyne.KeyDown:
		c.unroll()
	case fyne.KeyF1, fyne.KeyF6, fyne.KeyF7, fyne.KeyF8, fyne.KeyF9:
		toWindow(c, ev)
	default:
		c.Select.TypedKey(ev)
	}
}

// Tapped opens the list.
func (c *pickList) Tapped(*fyne.PointEvent) {
	if over := fyne.CurrentApp().Driver().CanvasForObject(c); over != nil {
		over.Focus(c)
	}
	c.unroll()
}

// Hide closes it.
func (c *pickList) Hide() {
	c.roll()
	c.Select.Hide()
}

func (c *pickList) unroll() {
	if !c.Disabled() && len(c.Options) > 0 && (c.open == nil || !c.open.pop.Visible()) {
		c.open = showPickMenu(c)
	}
}

func (c *pickList) roll() {
	if c.open != nil {
		c.open.pop.Hide()
	}
}
