package canvas

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/scene"
	"rigline/projects"
	"rigline/rules/checks"
)

// hand is a person at the window: a pointer and a keyboard over the toolkit's test
// driver. Late results wait until the hand waits for them.
type hand struct {
	*Editor
	t    *testing.T
	late chan func()
}

// newHandAt is a window with a sample in it, checked.
func newHandAt(t *testing.T, sample string) *hand {
	t.Helper()
	h := newHand(t)
	s, ok := projects.FindSample(sample)
	require.True(t, ok)
	h.s.Start(s.Document())
	h.settle()
	return h
}

func newHand(t *testing.T) *hand {
	a := test.NewTempApp(t)
	h := &hand{t: t, late: make(chan func(), 256)}
	a.Preferences().SetBool(prefCautions, true)
	h.Editor = New(a, func(f func()) { h.late <- f }, checks.All)
	h.win.Resize(fyne.NewSize(1440, 900))
	t.Cleanup(h.win.Close)
	return h
}

// settle waits until the present document is checked.
func (h *hand) settle() {
	h.t.Helper()
	h.await("checked", h.s.Settled)
}

// where is a place on the sheet in the window.
func (h *hand) where(p scene.Pt) fyne.Position {
	x, y := h.s.View.ToWindow(p)
	return h.app.Driver().AbsolutePositionForObject(h.board).AddXY(float32(x), float32(y))
}

// objectAt finds what the driver would hand an event to.
func (h *hand) objectAt(at fyne.Position, fits func(fyne.CanvasObject) bool) (fyne.CanvasObject, fyne.Position) {
	root := h.win.Content()
	if top := h.win.Canvas().Overlays().Top(); top != nil {
		root = top
	}
	var found fyne.CanvasObject
	var local fyne.Position
	for _, o := range test.LaidOutObjects(root) {
		pos := h.app.Driver().AbsolutePositionForObject(o)
		rel := at.Subtract(pos)
		if o.Visible() && fits(o) && rel.X >= 0 && rel.Y >= 0 && rel.X < o.Size().Width && rel.Y < o.Size().Height {
			found, local = o, rel
		}
	}
	return found, local
}

// down, move and up are the events of the desktop driver, in its order.
func (h *hand) down(at fyne.Position, button desktop.MouseButton, held fyne.KeyModifier) {
	o, rel := h.objectAt(at, func(o fyne.CanvasObject) bool { _, ok := o.(desktop.Mouseable); return ok })
	if m, ok := o.(desktop.Mouseable); ok {
		m.MouseDown(&desktop.MouseEvent{PointEvent: fyne.PointEvent{AbsolutePosition: at, Position: rel}, Button: button, Modifier: held})
	}
}

// drag presses, moves in steps and lets go.
func (h *hand) drag(from, to fyne.Position) { h.dragWith(from, to, desktop.MouseButtonPrimary, 0) }

func (h *hand) dragWith(from, to fyne.Position, button desktop.MouseButton, held fyne.KeyModifier) {
	h.t.Helper()
	o, rel := h.objectAt(from, func(o fyne.CanvasObject) bool { _, ok := o.(fyne.Draggable); return ok })
	require.NotNil(h.t, o, "nothing to drag at %v", from)
	test.MoveMouse(h.win.Canvas(), from)
	h.down(from, button, held)
	d := o.(fyne.Draggable)
	const steps = 5
	last := from
	for i := 1; i <= steps; i++ {
		at := fyne.NewPos(from.X+(to.X-from.X)*float32(i)/steps, from.Y+(to.Y-from.Y)*float32(i)/steps)
		d.Dragged(&fyne.DragEvent{PointEvent: fyne.PointEvent{AbsolutePosition: at, Position: rel.Add(at.Subtract(from))}, Dragged: fyne.NewDelta(at.X-last.X, at.Y-last.Y)})
		last = at
	}
	if m, ok := o.(desktop.Mouseable); ok {
		m.MouseUp(&desktop.MouseEvent{PointEvent: fyne.PointEvent{AbsolutePosition: to, Position: rel.Add(to.Subtract(from))}, Button: button, Modifier: held})
	}
	d.DragEnd()
}

// click presses and lets go in one place.
func (h *hand) click(at fyne.Position) {
	test.MoveMouse(h.win.Canvas(), at)
	h.down(at, desktop.MouseButtonPrimary, 0)
	o, rel := h.objectAt(at, func(o fyne.CanvasObject) bool { _, ok := o.(desktop.Mouseable); return ok })
	if m, ok := o.(desktop.Mouseable); ok {
		m.MouseUp(&desktop.MouseEvent{PointEvent: fyne.PointEvent{AbsolutePosition: at, Position: rel}, Button: desktop.MouseButtonPrimary})
	}
	if _, isBoard := o.(*Board); !isBoard {
		test.TapCanvas(h.win.Canvas(), at)
	}
}

// shelf drags a kind from the shelf to a place on the sheet.
func (h *hand) fromShelf(kind string, to scene.Pt) components.ID {
	h.t.Helper()
	h.Editor.shelf.search.SetText(kind)
	var item *shelfItem
	for _, it := range h.Editor.shelf.items {
		if it.kind.ID == kind {
			item = it
		}
	}
	require.NotNil(h.t, item, kind)
	h.win.Canvas().Content().Refresh()
	from := h.app.Driver().AbsolutePositionForObject(item).AddXY(20, 10)
	h.drag(from, h.where(to))
	require.Len(h.t, h.s.Selected(), 1, "the new part is selected")
	return h.s.Selected()[0]
}

// port is where a port's landing is in the window.
func (h *hand) port(ref string) fyne.Position {
	h.t.Helper()
	for _, p := range h.s.Sheet().Ports {
		if p.Ref.String() == ref {
			return h.where(p.At)
		}
	}
	h.t.Fatalf("no port %s", ref)
	return fyne.Position{}
}

func (h *hand) connect(from, to string) {
	h.t.Helper()
	h.drag(h.port(from), h.port(to))
}

// row finds a line of the details by its title.
func (h *hand) row(title string) *row {
	h.t.Helper()
	for _, r := range h.details.rows {
		if r.title == title {
			return r
		}
	}
	h.t.Fatalf("no field %q", title)
	return nil
}

func (h *hand) field(title string) *entry {
	h.t.Helper()
	e, ok := h.row(title).control.(*entry)
	require.True(h.t, ok, title)
	return e
}

// write types into a field and takes it with the return key.
func (h *hand) write(title, text string) {
	h.t.Helper()
	e := h.field(title)
	h.win.Canvas().Focus(e)
	e.SetText("")
	test.Type(e, text)
	e.OnSubmitted(e.Text)
}

// pick chooses from a field's list.
func (h *hand) pick(title, choice string) {
	h.t.Helper()
	sel, ok := h.row(title).control.(*pickList)
	require.True(h.t, ok, title)
	require.Contains(h.t, sel.Options, choice)
	sel.SetSelected(choice)
}

// note is what stands under a field.
func (h *hand) note(title string) string { return h.row(title).says.Text }

// press taps a button by its name, anywhere in the window or its dialog.
func (h *hand) press(name string) {
	h.t.Helper()
	root := h.win.Content()
	if top := h.win.Canvas().Overlays().Top(); top != nil {
		root = top
	}
	for _, o := range test.LaidOutObjects(root) {
		if b := asButton(o); b != nil && b.Text == name && b.Visible() {
			test.Tap(b)
			return
		}
		if b, ok := o.(*keyButton); ok && b.Text == name && b.Visible() {
			test.Tap(b)
			return
		}
		if b, ok := o.(*tipButton); ok && b.Text == name && b.Visible() {
			test.Tap(b)
			return
		}
		if b, ok := o.(*order); ok && b.text == name {
			test.Tap(b)
			return
		}
	}
	h.t.Fatalf("no button %q", name)
}

// pixel is the darkest colour of the picture in a part's body.
func (h *hand) pixel(id components.ID) [3]uint32 {
	h.t.Helper()
	img := h.board.paint(int(h.board.Size().Width), int(h.board.Size().Height))
	b := h.s.Sheet().Bodies[id]
	x0, y0 := h.s.View.ToWindow(b.Min)
	x1, y1 := h.s.View.ToWindow(b.Max)
	best := [3]uint32{0xffff, 0xffff, 0xffff}
	for y := int(y0); y <= int(y1); y++ {
		for x := int(x0); x <= int(x1); x++ {
			r, g, bl, _ := img.At(x, y).RGBA()
			if r+g+bl < best[0]+best[1]+best[2] {
				best = [3]uint32{r, g, bl}
			}
		}
	}
	return best
}

// asButton is a button of either sort, nil for anything else.
func asButton(o fyne.CanvasObject) *widget.Button {
	switch b := o.(type) {
	case *widget.Button:
		return b
	case *button:
		return &b.Button
	case *sameButton:
		return &b.Button
	}
	return nil
}
