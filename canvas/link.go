package canvas

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"
)

// link is a text that goes somewhere on a click, or on the return key.
type link struct {
	widget.Label
	tapped func()
}

func newLink(text string, tapped func()) *link {
	l := &link{tapped: tapped}
	l.ExtendBaseWidget(l)
	l.Wrapping = fyne.TextWrapWord
	l.SetText(text)
	return l
}

// Tapped goes there.
func (l *link) Tapped(*fyne.PointEvent) { l.tapped() }

// FocusGained and FocusLost show where the keyboard is.
func (l *link) FocusGained() {
	l.mark(widget.HighImportance)
	intoSight(l)
}

// FocusLost takes the colour away.
func (l *link) FocusLost() { l.mark(widget.MediumImportance) }

func (l *link) mark(i widget.Importance) {
	l.Importance = i
	l.Refresh()
}

// TypedRune does nothing.
func (l *link) TypedRune(rune) {}

// TypedKey goes there on the space bar or the return key.
func (l *link) TypedKey(ev *fyne.KeyEvent) {
	if ev.Name == fyne.KeySpace || ev.Name == fyne.KeyReturn || ev.Name == fyne.KeyEnter {
		l.tapped()
	}
}

// Cursor tells that it can be pressed.
func (l *link) Cursor() desktop.Cursor { return desktop.PointerCursor }
