package canvas

import (
	"fyne.io/fyne/v2"
)

// inText hands a shortcut to the text field that has the focus, if one has: there
// it means the text and not the drawing.
func (e *Editor) inText(sh fyne.Shortcut) bool {
	f, ok := e.win.Canvas().Focused().(interface {
		fyne.Shortcutable
		SelectedText() string
	})
	if ok {
		f.TypedShortcut(sh)
	}
	return ok
}

// withClipboard gives the shortcuts of text the clipboard that they work on.
func withClipboard(sh fyne.Shortcut, c fyne.Clipboard) fyne.Shortcut {
	switch sh.(type) {
	case *fyne.ShortcutCopy:
		return &fyne.ShortcutCopy{Clipboard: c}
	case *fyne.ShortcutCut:
		return &fyne.ShortcutCut{Clipboard: c}
	case *fyne.ShortcutPaste:
		return &fyne.ShortcutPaste{Clipboard: c}
	}
	return sh
}

// undo takes back what is being typed in a field, or the last step.
func (e *Editor) undo() {
	if f, ok := e.win.Canvas().Focused().(*entry); ok && f.typing && f.Text != f.was {
		f.TypedShortcut(&fyne.ShortcutUndo{})
		return
	}
	e.s.Undo()
}

func (e *Editor) redo() {
	if f, ok := e.win.Canvas().Focused().(*entry); ok && f.typing && f.Text != f.was {
		f.TypedShortcut(&fyne.ShortcutRedo{})
		return
	}
	e.s.Redo()
}

// flush takes what stands in a field that is still being typed in, so that saving
// leaves nothing behind.
func (e *Editor) flush() {
	if f, ok := e.win.Canvas().Focused().(*entry); ok && f.typing {
		f.take()
	}
}

func (e *Editor) copy() {
	if e.inText(&fyne.ShortcutCopy{Clipboard: e.app.Clipboard()}) {
		return
	}
	e.copyParts()
}

func (e *Editor) copyParts() {
	if text := e.s.Copy(); text != "" {
		e.app.Clipboard().SetContent(text)
	}
}

func (e *Editor) cut() {
	if e.inText(&fyne.ShortcutCut{Clipboard: e.app.Clipboard()}) || !selectingParts(e) {
		return
	}
	e.copyParts()
	e.s.Delete()
}

func (e *Editor) paste() {
	if !e.inText(&fyne.ShortcutPaste{Clipboard: e.app.Clipboard()}) {
		e.s.Paste(e.app.Clipboard().Content())
	}
}

func (e *Editor) selectAll() {
	if !e.inText(&fyne.ShortcutSelectAll{}) {
		e.s.SelectAll()
	}
}
