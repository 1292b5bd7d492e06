package canvas

import (
	"fyne.io/fyne/v2"
	fynecanvas "fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// order is a button whose text may take several lines, as a repair's does.
type order struct {
	widget.BaseWidget
	text          string
	tapped        func()
	shown         func(bool) // the pointer or the keyboard is on it, or leaves
	plain         bool       // without the tick
	over, focused bool
}

func newOrder(text string, tapped func()) *order {
	o := &order{text: text, tapped: tapped}
	o.ExtendBaseWidget(o)
	return o
}

// Tapped carries the order out.
func (o *order) Tapped(*fyne.PointEvent) { o.tapped() }

// FocusGained and FocusLost show where the keyboard is.
func (o *order) FocusGained() {
	o.focused = true
	o.show(true)
	intoSight(o)
}

// FocusLost takes the frame away.
func (o *order) FocusLost() { o.focused = false; o.show(o.over) }

func (o *order) show(on bool) {
	if o.shown != nil {
		o.shown(on)
	}
	o.Refresh()
}

// TypedRune does nothing.
func (o *order) TypedRune(rune) {}

// TypedKey carries the order out on the space bar or the return key.
func (o *order) TypedKey(ev *fyne.KeyEvent) {
	if ev.Name == fyne.KeySpace || ev.Name == fyne.KeyReturn || ev.Name == fyne.KeyEnter {
		o.tapped()
	}
}

// MouseIn lights the button.
func (o *order) MouseIn(*desktop.MouseEvent) { o.over = true; o.show(true) }

// MouseMoved does nothing.
func (o *order) MouseMoved(*desktop.MouseEvent) {}

// MouseOut puts it out.
func (o *order) MouseOut() { o.over = false; o.show(false) }

// Cursor tells that it can be pressed.
func (o *order) Cursor() desktop.Cursor { return desktop.PointerCursor }

// CreateRenderer shows a tick and the text.
func (o *order) CreateRenderer() fyne.WidgetRenderer {
	r := &orderRenderer{o: o, back: fynecanvas.NewRectangle(nil), tick: widget.NewIcon(theme.ConfirmIcon()), text: widget.NewLabel(o.text)}
	r.text.Wrapping = fyne.TextWrapWord
	r.Refresh()
	return r
}

type orderRenderer struct {
	o    *order
	back *fynecanvas.Rectangle
	tick *widget.Icon
	text *widget.Label
}

const orderIndent = 24

func (r *orderRenderer) Layout(size fyne.Size) {
	r.back.Resize(size)
	r.tick.Resize(fyne.NewSquareSize(16))
	r.tick.Move(fyne.NewPos(6, 7))
	indent := float32(orderIndent)
	if r.o.plain {
		indent = 2
	}
	r.text.Move(fyne.NewPos(indent, 0))
	r.text.Resize(fyne.NewSize(size.Width-indent, size.Height))
}

func (r *orderRenderer) MinSize() fyne.Size {
	return fyne.NewSize(80, max(28, r.text.MinSize().Height))
}

func (r *orderRenderer) Refresh() {
	r.back.FillColor = theme.Color(theme.ColorNameButton)
	r.back.StrokeWidth, r.back.StrokeColor = 1, theme.Color(theme.ColorNameSeparator)
	if r.o.over {
		r.back.FillColor = theme.Color(theme.ColorNameSelection)
	}
	if r.o.focused {
		r.back.StrokeWidth, r.back.StrokeColor = 2, theme.Color(theme.ColorNamePrimary)
	}
	r.back.Refresh()
	r.text.SetText(r.o.text)
	r.tick.Hidden = r.o.plain
	r.tick.Refresh()
}

func (r *orderRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.back, r.tick, r.text}
}

func (r *orderRenderer) Destroy() {}
