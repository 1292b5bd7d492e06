package canvas

import (
	"math"

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

// widths lays the columns out. The outer two stay as wide as they were told to be
// when the window becomes wider or narrower: the sheet takes the rest.
type widths struct {
	s              *splits
	shelf, details float64 // as they were told to be, in pixels
	setS, setD     float64 // the borders as they were set for that
	last           float32 // the width that they were set in
}

// MinSize is that of the columns.
func (w *widths) MinSize(objects []fyne.CanvasObject) fyne.Size { return objects[0].MinSize() }

// Layout gives the sheet what the window has won or lost.
func (w *widths) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	w.heed()
	now := math.Max(float64(size.Width), 1)
	w.s.shelf.Offset = math.Min(0.4, w.shelf/now)
	w.s.details.Offset = math.Max(0.4, 1-w.details/math.Max(now-w.shelf, 1))
	w.setS, w.setD, w.last = w.s.shelf.Offset, w.s.details.Offset, size.Width
	objects[0].Move(fyne.NewPos(0, 0))
	objects[0].Resize(size)
}

// heed takes over what a person has moved since.
func (w *widths) heed() {
	if w.last == 0 {
		return
	}
	was := float64(w.last)
	if w.s.shelf.Offset != w.setS {
		w.shelf = w.s.shelf.Offset * was
	}
	if w.s.details.Offset != w.setD { // moving the shelf's border is not about the details
		w.details = (1 - w.s.details.Offset) * (was - w.shelf)
	}
	w.setS, w.setD = w.s.shelf.Offset, w.s.details.Offset
}

// atLeast lets nothing become narrower than its words are.
type atLeast struct{ w float32 }

// MinSize is at least so wide.
func (t *atLeast) MinSize(objects []fyne.CanvasObject) fyne.Size {
	m := objects[0].MinSize()
	return fyne.NewSize(max(m.Width, t.w), m.Height)
}

// Layout fills the room.
func (t *atLeast) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	objects[0].Move(fyne.NewPos(0, 0))
	objects[0].Resize(size)
}

// The least widths of the columns beside the sheet.
const (
	leastShelf   = 200
	leastDetails = 328
)

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
	e.widths.shelf = math.Max(leastShelf, p.FloatWithFallback(prefShelf, 214))
	e.widths.details = math.Max(leastDetails, p.FloatWithFallback(prefDetails, 330))
	e.widths.last = 0
	e.splits.findings.Offset = min(0.85, max(0.15, p.FloatWithFallback(prefFindings, 0.5)))
	e.columns.Refresh()
	e.columns.Layout.Layout(e.columns.Objects, e.columns.Size())
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
	e.widths.heed()
	p.SetFloat(prefShelf, e.widths.shelf)
	p.SetFloat(prefDetails, e.widths.details)
	share := e.splits.findings.Offset
	if e.gaps.box.Visible() { // the list of what is missing has more room while it is open
		share = e.gaps.split
	}
	p.SetFloat(prefFindings, share)
}
