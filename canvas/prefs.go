package canvas

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// Preferences that last from one day to the next.
const (
	prefLook     = "look"
	prefWheel    = "wheel-pans"
	prefCautions = "cautions-seen"
	prefRecent   = "recent"
	prefWidth    = "window-width"
	prefHeight   = "window-height"
	prefShelf    = "shelf-width"
	prefDetails  = "details-width"
	prefFindings = "findings-share"
)

func (e *Editor) look() Look { return Look(e.app.Preferences().String(prefLook)) }

func (e *Editor) setLook(l Look) {
	e.app.Preferences().SetString(prefLook, string(l))
	e.app.Settings().SetTheme(NewTheme(l))
	e.refreshMenu()
	e.board.Refresh()
}

func (e *Editor) wheelPans() bool { return e.app.Preferences().Bool(prefWheel) }

func (e *Editor) switchWheel() {
	e.app.Preferences().SetBool(prefWheel, !e.wheelPans())
	e.refreshMenu()
}

// splits are the borders between the window's columns, which a person moves.
type splits struct{ shelf, details, findings *container.Split }

// widths lays the columns out and keeps the outer two as wide as they were when the
// window becomes wider or narrower: the sheet takes the rest.
type widths struct {
	s    *splits
	last float32
}

// MinSize is that of the columns.
func (w *widths) MinSize(objects []fyne.CanvasObject) fyne.Size { return objects[0].MinSize() }

// Layout gives the sheet what the window has won or lost.
func (w *widths) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	if was := float64(w.last); was > 0 && size.Width > 0 && size.Width != w.last {
		now := float64(size.Width)
		shelf := w.s.shelf.Offset * was
		details := (1 - w.s.details.Offset) * (was - shelf)
		w.s.shelf.Offset = min(0.4, shelf/now)
		w.s.details.Offset = max(0.4, 1-details/max(now-shelf, 1))
	}
	w.last = size.Width
	objects[0].Move(fyne.NewPos(0, 0))
	objects[0].Resize(size)
}

// The window's size where none is remembered: the least that is asked of a screen.
const (
	firstWidth  = 1280
	firstHeight = 720
)

// remembered is the size that the window had.
func (e *Editor) remembered() fyne.Size {
	p := e.app.Preferences()
	return fyne.NewSize(float32(max(640, p.FloatWithFallback(prefWidth, firstWidth))), float32(max(400, p.FloatWithFallback(prefHeight, firstHeight))))
}

// setSplits gives the columns the widths that they had, in pixels, so that a wider
// window has a wider sheet.
func (e *Editor) setSplits(size fyne.Size) {
	p := e.app.Preferences()
	width := max(float64(size.Width), 1)
	shelf := p.FloatWithFallback(prefShelf, 214)
	details := p.FloatWithFallback(prefDetails, 330)
	e.splits.shelf.Offset = min(0.4, shelf/width)
	e.splits.details.Offset = max(0.4, 1-details/max(width-shelf, 1))
	e.splits.findings.Offset = min(0.85, max(0.15, p.FloatWithFallback(prefFindings, 0.5)))
	e.splits.shelf.Refresh()
	e.splits.details.Refresh()
	e.splits.findings.Refresh()
}

// rememberSizes keeps the window's size and its columns for the next time.
func (e *Editor) rememberSizes() {
	p := e.app.Preferences()
	size := e.win.Canvas().Size()
	if size.Width < 100 {
		return
	}
	p.SetFloat(prefWidth, float64(size.Width))
	p.SetFloat(prefHeight, float64(size.Height))
	shelf := e.splits.shelf.Offset * float64(size.Width)
	p.SetFloat(prefShelf, shelf)
	p.SetFloat(prefDetails, (1-e.splits.details.Offset)*(float64(size.Width)-shelf))
	p.SetFloat(prefFindings, e.splits.findings.Offset)
}
