package canvas

import (
	"fyne.io/fyne/v2"
	fynecanvas "fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// pickMenu is a list that is open: one word is marked, the arrows, the letters of a word
// and the pointer move the mark, and the return key, the space bar or a click take it.
type pickMenu struct {
	widget.BaseWidget
	list  *pickList
	at    int // the word that is marked, -1 for none
	words []*pickWord
	box   *fyne.Container
	roll  *container.Scroll
	pop   *widget.PopUp
	typed typed
}

// showPickMenu opens a list below itself, or higher where there is no room below.
func showPickMenu(list *pickList) *pickMenu {
	m := &pickMenu{list: list, at: list.SelectedIndex(), box: container.New(&stacked{})}
	m.ExtendBaseWidget(m)
	for i, text := range list.Options {
		m.words = append(m.words, newPickWord(m, i, text))
		m.box.Add(m.words[i])
	}
	m.roll = container.NewVScroll(m.box)
	driver := fyne.CurrentApp().Driver()
	over := driver.CanvasForObject(list)
	m.pop = widget.NewPopUp(m, over)
	from, room := over.InteractiveArea()
	frame := m.pop.MinSize().Subtract(m.MinSize())
	wants := m.box.MinSize()
	size := fyne.NewSize(min(max(list.Size().Width, wants.Width+frame.Width), room.Width), min(wants.Height+frame.Height, room.Height))
	at := driver.AbsolutePositionForObject(list).AddXY(0, list.Size().Height)
	at.X = max(from.X, min(at.X, from.X+room.Width-size.Width))
	at.Y = max(from.Y, min(at.Y, from.Y+room.Height-size.Height))
	m.pop.ShowAtPosition(at)
	m.pop.Resize(size)
	over.Focus(m)
	m.mark(m.at)
	return m
}

// mark marks a word and brings it into sight.
func (m *pickMenu) mark(at int) {
	old := m.at
	m.at = at
	for _, i := range []int{old, at} {
		if i >= 0 && i < len(m.words) {
			m.words[i].Refresh()
		}
	}
	if at < 0 {
		return
	}
	w := m.words[at]
	top, high := w.Position().Y, m.roll.Size().Height
	if y := m.roll.Offset.Y; top < y || top+w.Size().Height > y+high {
		m.roll.ScrollToOffset(fyne.NewPos(0, max(0, top-(high-w.Size().Height)/2)))
	}
}

// take chooses the word that is marked and closes the list.
func (m *pickMenu) take() {
	m.list.roll()
	if m.at >= 0 {
		m.list.SetSelectedIndex(m.at)
	}
}

// FocusGained and FocusLost do nothing: the mark tells where the keyboard is.
func (m *pickMenu) FocusGained() {}

// FocusLost does nothing.
func (m *pickMenu) FocusLost() {}

// TypedRune marks the word that the letters lead to.
func (m *pickMenu) TypedRune(r rune) {
	if r == ' ' {
		return // takes it
	}
	if at, ok := m.typed.find(m.list.Options, m.at, r); ok {
		m.mark(at)
	}
}

// TypedKey moves the mark, takes the word or leaves it.
func (m *pickMenu) TypedKey(ev *fyne.KeyEvent) {
	last := len(m.words) - 1
	switch ev.Name {
	case fyne.KeyDown:
		m.mark(min(m.at+1, last))
	case fyne.KeyUp:
		m.mark(max(m.at-1, 0))
	case fyne.KeyHome, fyne.KeyPageUp:
		m.mark(0)
	case fyne.KeyEnd, fyne.KeyPageDown:
		m.mark(last)
	case fyne.KeyReturn, fyne.KeyEnter, fyne.KeySpace:
		m.take()
	case fyne.KeyEscape, fyne.KeyTab:
		m.list.roll()
	}
}

// AcceptsTab keeps the tab key, which leaves the list as it is.
func (m *pickMenu) AcceptsTab() bool { return true }

// CreateRenderer shows the words.
func (m *pickMenu) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(m.roll) }

// stacked lays words below each other without room between them.
type stacked struct{}

// MinSize is the widest word's width and all words' height.
func (*stacked) MinSize(words []fyne.CanvasObject) (size fyne.Size) {
	for _, w := range words {
		one := w.MinSize()
		size.Width, size.Height = max(size.Width, one.Width), size.Height+one.Height
	}
	return size
}

// Layout gives every word its own height and the whole width.
func (*stacked) Layout(words []fyne.CanvasObject, size fyne.Size) {
	y := float32(0)
	for _, w := range words {
		high := w.MinSize().Height
		w.Move(fyne.NewPos(0, y))
		w.Resize(fyne.NewSize(size.Width, high))
		y += high
	}
}

// pickWord is a word of an open list.
type pickWord struct {
	widget.BaseWidget
	menu *pickMenu
	n    int
	text *fynecanvas.Text
	back *fynecanvas.Rectangle
}

func newPickWord(m *pickMenu, n int, text string) *pickWord {
	w := &pickWord{menu: m, n: n, text: fynecanvas.NewText(text, nil), back: fynecanvas.NewRectangle(nil)}
	w.ExtendBaseWidget(w)
	return w
}

// Tapped takes the word.
func (w *pickWord) Tapped(*fyne.PointEvent) {
	w.menu.mark(w.n)
	w.menu.take()
}

// MouseIn marks it.
func (w *pickWord) MouseIn(*desktop.MouseEvent) { w.menu.mark(w.n) }

// MouseMoved does nothing.
func (w *pickWord) MouseMoved(*desktop.MouseEvent) {}

// MouseOut does nothing: the mark stays for the keyboard.
func (w *pickWord) MouseOut() {}

// Cursor tells that it can be pressed.
func (w *pickWord) Cursor() desktop.Cursor { return desktop.PointerCursor }

// CreateRenderer shows the word, on another ground where it is marked.
func (w *pickWord) CreateRenderer() fyne.WidgetRenderer {
	r := &pickWordRenderer{w}
	r.Refresh()
	return r
}

type pickWordRenderer struct{ w *pickWord }

func (r *pickWordRenderer) Layout(size fyne.Size) {
	pad := theme.InnerPadding()
	r.w.back.Resize(size)
	r.w.text.Move(fyne.NewPos(pad, (size.Height-r.w.text.MinSize().Height)/2))
	r.w.text.Resize(r.w.text.MinSize())
}

func (r *pickWordRenderer) MinSize() fyne.Size {
	pad := theme.InnerPadding()
	return r.w.text.MinSize().AddWidthHeight(2*pad, pad)
}

func (r *pickWordRenderer) Refresh() {
	r.w.text.Color, r.w.text.TextSize = theme.Color(theme.ColorNameForeground), theme.TextSize()
	r.w.back.FillColor = theme.Color(theme.ColorNameOverlayBackground)
	if r.w.menu.at == r.w.n {
		r.w.back.FillColor = theme.Color(theme.ColorNameSelection)
	}
	r.w.back.Refresh()
	r.w.text.Refresh()
}

func (r *pickWordRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.w.back, r.w.text}
}

func (r *pickWordRenderer) Destroy() {}
