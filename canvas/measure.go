package canvas

import (
	"slices"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"rigline/canvas/session"
	"rigline/components"
)

// Meter drives a window as a hand would and counts the pictures that come of it.
type Meter struct{ e *Editor }

// Meter gives the window's meter.
func (e *Editor) Meter() Meter { return Meter{e} }

// Paints is how many pictures of the sheet were drawn so far.
func (m Meter) Paints() int { return m.e.board.paints }

// Load puts a document in the window and shows all of it, or a piece at a zoom.
func (m Meter) Load(doc *components.Document, zoom float64) {
	m.e.s.Start(doc)
	if zoom > 0 {
		m.e.s.ZoomTo(zoom)
	}
}

// Settled tells whether the document is checked and drawn.
func (m Meter) Settled() bool { return m.e.s.Settled() }

// Drawn tells whether the document is drawn whole; the rules may still be at it.
func (m Meter) Drawn() bool { return m.e.s.WholeDrawn() }

// Checked tells whether the findings are of the present document.
func (m Meter) Checked() bool { _, current := m.e.s.Report(); return current }

// Pan, Zoom and Drag each move by one step, through the events of the pointer.
func (m Meter) Pan(step int) {
	at := m.middle(step)
	m.e.board.last = at.SubtractXY(6, 3)
	if step%40 >= 20 {
		m.e.board.last = at.AddXY(6, 3)
	}
	m.e.board.panning = true
	m.e.board.Dragged(&fyne.DragEvent{PointEvent: fyne.PointEvent{Position: at}})
	m.e.board.panning = false
}

// Zoom turns the wheel by a notch.
func (m Meter) Zoom(step int) {
	by := float32(10)
	if step%20 >= 10 {
		by = -10
	}
	m.e.board.Scrolled(&fyne.ScrollEvent{PointEvent: fyne.PointEvent{Position: m.middle(0)}, Scrolled: fyne.NewDelta(0, by)})
}

// Press takes up the part nearest to the middle of the window.
func (m Meter) Press() bool {
	id, ok := m.e.s.NearestPart(m.e.s.View.ToSheet(m.e.s.View.W/2, m.e.s.View.H/2))
	if !ok {
		return false
	}
	m.e.board.MouseDown(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: m.onPart(id)}, Button: desktop.MouseButtonPrimary})
	return true
}

func (m Meter) onPart(id components.ID) fyne.Position {
	p, _ := m.e.s.Doc().Part(id)
	x, y := m.e.s.View.ToWindow(session.Centre(p))
	return fyne.NewPos(float32(x), float32(y))
}

// Drag moves what was pressed.
func (m Meter) Drag(step int) {
	at := m.e.board.downAt.AddXY(float32(20+step%40*3), float32(10+step%20))
	m.e.board.Dragged(&fyne.DragEvent{PointEvent: fyne.PointEvent{Position: at}})
}

// Release lets it go, which is an edit.
func (m Meter) Release() {
	m.e.board.MouseUp(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: m.e.board.last}, Button: desktop.MouseButtonPrimary})
}

// PickRun selects the first run.
func (m Meter) PickRun() { m.e.s.Select(m.e.s.Doc().Runs()[0].ID) }

// Lengthen tells another length of the run that is selected.
func (m Meter) Lengthen(step int) {
	i := slices.IndexFunc(components.RunFields, func(f components.Field) bool { return f.Key == "length_ft" })
	_ = m.e.s.SetField(m.e.s.Selected()[0], &components.RunFields[i], components.Num(float64(3+step%5)))
}

// Undo takes the last edit back.
func (m Meter) Undo() { m.e.s.Undo() }

func (m Meter) middle(step int) fyne.Position {
	size := m.e.board.Size()
	return fyne.NewPos(size.Width/2+float32(step%2), size.Height/2)
}

// OnPaint calls f after every picture of the sheet, with the time it took to draw.
func (m Meter) OnPaint(f func(took time.Duration)) { m.e.board.painted = f }
