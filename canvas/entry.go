package canvas

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// entry is a line of text that is checked as it is typed and taken when it is
// left, or with the return key.
type entry struct {
	widget.Entry
	commit  func(text string)
	entered func(bool) // the cursor came in, or left
	typing  bool
	inside  bool
	was     string // the text before the typing
	rows    int    // lines that are shown, where it may take several
}

func newEntry(commit func(string)) *entry {
	e := &entry{commit: commit}
	e.ExtendBaseWidget(e)
	e.OnSubmitted = func(string) { e.take() }
	return e
}

func (e *entry) take() {
	e.typing = false
	if e.MultiLine { // what was pasted may hold line breaks
		e.SetText(strings.Join(strings.FieldsFunc(e.Text, func(r rune) bool { return r == '\n' || r == '\r' }), " "))
	}
	e.commit(e.Text)
}

// newProse is an entry for words rather than figures: a long text breaks into as many
// lines as it takes, and all of it is seen.
func newProse() *entry {
	e := newEntry(nil)
	e.MultiLine, e.Wrapping = true, fyne.TextWrapWord
	e.OnChanged = func(string) { e.grow() }
	e.grow()
	return e
}

// Resize finds the lines again.
func (e *entry) Resize(size fyne.Size) {
	e.Entry.Resize(size)
	e.grow()
}

// grow shows as many lines as the text takes.
func (e *entry) grow() {
	if !e.MultiLine {
		return
	}
	n, wide := 1, e.Size().Width-4*theme.Size(theme.SizeNameInnerPadding)
	if wide > 0 {
		n = len(broken(e.Text, wide, theme.Size(theme.SizeNameText)))
	}
	if n != e.rows {
		e.rows = n
		e.SetMinRowsVisible(n)
	}
}

// AcceptsTab tells that the tab key goes on to the next thing.
func (e *entry) AcceptsTab() bool { return false }

// TypedRune notes that the person is at it, so that nothing else changes the text.
func (e *entry) TypedRune(r rune) { e.typing = true; e.Entry.TypedRune(r) }

// TypedKey notes the same, and lets the escape key put the text back.
func (e *entry) TypedKey(ev *fyne.KeyEvent) {
	switch ev.Name {
	case fyne.KeyBackspace, fyne.KeyDelete:
		e.typing = true
	case fyne.KeyF1, fyne.KeyF6, fyne.KeyF7, fyne.KeyF8, fyne.KeyF9:
		if e.typing {
			e.take()
		}
		toWindow(e, ev)
		return
	case fyne.KeyReturn, fyne.KeyEnter:
		e.OnSubmitted(e.Text)
		return
	case fyne.KeyEscape:
		e.typing = false
		e.SetText(e.was)
		if c := fyne.CurrentApp().Driver().CanvasForObject(e); c != nil {
			c.Unfocus()
		}
		return
	}
	e.Entry.TypedKey(ev)
}

// toWindow gives a key that means nothing in a field to the window.
func toWindow(o fyne.CanvasObject, ev *fyne.KeyEvent) {
	if c := fyne.CurrentApp().Driver().CanvasForObject(o); c != nil && c.OnTypedKey() != nil {
		c.OnTypedKey()(ev)
	}
}

// lines is a text of several lines that the tab key leaves and the return key takes;
// with shift it begins a line.
type lines struct {
	widget.Entry
	done func()
}

func newLines() *lines {
	l := &lines{}
	l.MultiLine, l.Wrapping = true, fyne.TextWrapWord
	l.ExtendBaseWidget(l)
	return l
}

// TypedKey takes the text on the return key.
func (l *lines) TypedKey(ev *fyne.KeyEvent) {
	if (ev.Name == fyne.KeyReturn || ev.Name == fyne.KeyEnter) && l.done != nil && held()&fyne.KeyModifierShift == 0 {
		l.done()
		return
	}
	l.Entry.TypedKey(ev)
}

// AcceptsTab tells that the tab key goes on to the next thing.
func (l *lines) AcceptsTab() bool { return false }

// TypedShortcut notes cuts and pastes.
func (e *entry) TypedShortcut(sh fyne.Shortcut) {
	switch sh.(type) {
	case *fyne.ShortcutCut, *fyne.ShortcutPaste:
		e.typing = true
	}
	e.Entry.TypedShortcut(sh)
}

// FocusGained tells that the cursor came in.
func (e *entry) FocusGained() {
	e.Entry.FocusGained()
	intoSight(e)
	e.inside = true
	if e.entered != nil {
		e.entered(true)
	}
}

// FocusLost takes what was typed.
func (e *entry) FocusLost() {
	e.Entry.FocusLost()
	e.inside = false
	if e.typing {
		e.take()
	} else if e.entered != nil {
		e.entered(false)
	}
}

// show sets the text, unless the person is typing in it.
func (e *entry) show(text string) {
	if e.typing {
		return
	}
	e.was = text
	if e.Text != text {
		e.SetText(text)
	}
}
