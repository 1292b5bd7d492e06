package canvas

import (
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/scene"
	"rigline/projects"
)

// onSheet is a hand at three fuses side by side, 100 % large.
func onSheet(t *testing.T) (h *hand, at func(x, y float64) fyne.Position) {
	h = newHand(t)
	h.s.ZoomTo(1)
	spot := func(x, y float64) scene.Pt { return h.s.View.ToSheet(x, y) }
	for i := range 3 {
		h.fromShelf("fuse", spot(200+float64(120*i), 250+float64(30*i)))
	}
	h.settle()
	h.s.Select()
	return h, func(x, y float64) fyne.Position { return h.where(spot(x, y)) }
}

// on is the middle of a part in the window.
func (h *hand) on(id components.ID) fyne.Position {
	b := h.s.Sheet().Bodies[id]
	return h.where(scene.Pt{X: (b.Min.X + b.Max.X) / 2, Y: (b.Min.Y + b.Max.Y) / 2})
}

func (h *hand) key(name fyne.KeyName) { h.board.TypedKey(&fyne.KeyEvent{Name: name}) }

func (h *hand) placeOf(id components.ID) components.Point {
	p, ok := h.s.Doc().Part(id)
	require.True(h.t, ok, id)
	return p.At
}

// A band takes what lies in it, with shift it adds, and a shift-click adds or takes out.
func TestABandSelects(t *testing.T) {
	h, at := onSheet(t)
	h.drag(at(150, 200), at(380, 330))
	assert.Equal(t, []components.ID{"F1", "F2"}, h.s.Selected())
	h.dragWith(at(400, 260), at(500, 370), desktop.MouseButtonPrimary, fyne.KeyModifierShift)
	assert.ElementsMatch(t, []components.ID{"F1", "F2", "F3"}, h.s.Selected())
	h.down(h.on("F2"), desktop.MouseButtonPrimary, fyne.KeyModifierShift)
	h.board.MouseUp(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: h.board.downAt}, Button: desktop.MouseButtonPrimary})
	assert.ElementsMatch(t, []components.ID{"F1", "F3"}, h.s.Selected())
	h.click(at(600, 500))
	assert.Empty(t, h.s.Selected(), "a click on empty paper")
	h.run(h.command("Select all"))
	assert.Len(t, h.s.Selected(), 3)
	h.key(fyne.KeyEscape)
	assert.Empty(t, h.s.Selected())
	h.board.TypedRune('n')
	first := h.s.Selected()
	require.Len(t, first, 1)
	h.board.TypedRune('n')
	h.board.TypedRune('p')
	assert.Equal(t, first, h.s.Selected(), "on and back")
}

// A drag moves what is selected as one step, onto the grid.
func TestPartsAreDraggedTogether(t *testing.T) {
	h, at := onSheet(t)
	h.drag(at(150, 200), at(380, 330))
	one, two := h.placeOf("F1"), h.placeOf("F2")
	from := h.on("F1")
	h.drag(from, from.AddXY(83, 41))
	by := components.Point{X: h.placeOf("F1").X - one.X, Y: h.placeOf("F1").Y - one.Y}
	assert.Equal(t, two.Add(by), h.placeOf("F2"), "both by the same")
	assert.InDelta(t, 83, by.X, components.Module)
	assert.Zero(t, by.X%components.Module)
	assert.Zero(t, by.Y%components.Module)
	h.undo()
	assert.Equal(t, one, h.placeOf("F1"))
	assert.Equal(t, two, h.placeOf("F2"), "one step")
}

// A fuse that stands on the sheet is dragged onto a lead and is then in it.
func TestAPartDraggedOntoARunIsInIt(t *testing.T) {
	h, _ := onSheet(t)
	h.fromShelf("battery", h.s.View.ToSheet(180, 480))
	h.fromShelf("busbar", h.s.View.ToSheet(560, 420))
	h.connect("BAT1.pos", "BUS1.bar")
	h.settle()
	path := h.s.Sheet().Paths["W1"]
	long, most := 0, 0.0
	for i := 1; i < len(path); i++ {
		if d := max(path[i].X-path[i-1].X, path[i-1].X-path[i].X); d > most {
			long, most = i, d
		}
	}
	require.Positive(t, most, "a piece that runs across")
	mid := scene.Pt{X: (path[long].X + path[long-1].X) / 2, Y: path[long].Y}
	h.drag(h.on("F1"), h.where(mid))
	require.Len(t, h.s.Doc().Runs(), 2)
	for _, r := range h.s.Doc().Runs() {
		assert.True(t, r.From.Part == "F1" || r.To.Part == "F1", "%s goes from %s to %s", r.ID, r.From, r.To)
	}
	h.undo()
	assert.Len(t, h.s.Doc().Runs(), 1, "moved and fitted in is one step")
}

// A run is bent by its middle piece and keeps the bend; straightened it has none.
func TestARunIsBent(t *testing.T) {
	h, _ := onSheet(t)
	h.connect("F1.load", "F3.line")
	h.settle()
	h.click(h.where(h.s.Sheet().Paths["W1"][0])) // on its end: nothing moves
	h.s.Select("W1")
	path := h.s.Sheet().Paths["W1"]
	require.Greater(t, len(path), 2)
	mid := scene.Pt{X: (path[1].X + path[2].X) / 2, Y: (path[1].Y + path[2].Y) / 2}
	by := fyne.NewPos(30, 0)
	if path[1].Y == path[2].Y {
		by = fyne.NewPos(0, 30)
	}
	h.drag(h.where(mid), h.where(mid).Add(by))
	r, _ := h.s.Doc().Run("W1")
	require.NotEmpty(t, r.Path, "the bend is kept")
	bent := r.Path
	from := h.on("F2")
	h.drag(from, from.AddXY(0, 120))
	r, _ = h.s.Doc().Run("W1")
	assert.Equal(t, bent, r.Path, "and stays where another part is moved")
	h.s.Select("W1")
	h.run(h.command("Straighten the run"))
	r, _ = h.s.Doc().Run("W1")
	assert.Empty(t, r.Path)
}

// A run that is let go over empty paper has a loose end, and the rules say so; one that
// is let go on a port that does not fit is told why.
func TestARunLeftLoose(t *testing.T) {
	h, at := onSheet(t)
	h.drag(h.port("F3.load"), at(600, 480))
	require.Len(t, h.s.Doc().Runs(), 1)
	h.settle()
	report, _ := h.s.Report()
	said := false
	for _, f := range report.Findings {
		said = said || f.Rule.ID == "conductor.loose-end"
	}
	assert.True(t, said)
	h.undo()
	h.fromShelf("receptacle", h.s.View.ToSheet(560, 180))
	h.settle()
	before := len(h.s.Doc().Runs())
	h.drag(h.port("F3.load"), h.port("R1.in"))
	assert.Len(t, h.s.Doc().Runs(), before)
	assert.NotEmpty(t, h.s.Told().Text, "the reason is told")
}

// A second press in one place goes to the first figure of what is there.
func TestADoubleClickGoesToTheFirstFigure(t *testing.T) {
	h, _ := onSheet(t)
	h.click(h.on("F2"))
	h.board.lastDown = time.Now().Add(time.Minute) // whatever the machine took for the first
	h.click(h.on("F2"))
	assert.Equal(t, []components.ID{"F2"}, h.s.Selected())
	o, ok := h.win.Canvas().Focused().(fyne.CanvasObject)
	require.True(t, ok)
	assert.Same(t, h.row("Family").control, o)
}

// The mark of a finding on the sheet leads to its place in the list.
func TestAMarkLeadsToItsFinding(t *testing.T) {
	h := newHand(t)
	h.broken(t)
	h.s.Fit()
	h.settle()
	report, _ := h.s.Report()
	for _, sh := range h.s.Sheet().Shapes {
		if sh.Layer == scene.MarkLayer && sh.Form == scene.Text && sh.Text == "2" {
			b := sh.Box()
			h.click(h.where(scene.Pt{X: (b.Min.X + b.Max.X) / 2, Y: (b.Min.Y + b.Max.Y) / 2}))
			assert.Equal(t, 2, h.s.Wanted())
			id, _ := h.s.Owner(report.Findings[1].At)
			assert.Equal(t, []components.ID{id}, h.s.Selected())
			return
		}
	}
	t.Fatal("no mark 2")
}

// The secondary button selects what is under it and opens a menu of what can be done.
func TestTheSecondaryButtonOpensAMenu(t *testing.T) {
	h, _ := onSheet(t)
	h.down(h.on("F3"), desktop.MouseButtonSecondary, 0)
	assert.Equal(t, []components.ID{"F3"}, h.s.Selected())
	top := h.win.Canvas().Overlays().Top()
	require.NotNil(t, top)
	menu, ok := h.win.Canvas().Focused().(*widget.PopUpMenu)
	require.True(t, ok)
	for range 5 { // cut, copy, paste, duplicate, delete
		menu.TypedKey(&fyne.KeyEvent{Name: fyne.KeyDown})
	}
	menu.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	assert.Len(t, h.s.Doc().Parts(), 2, "deleted")
}

// Parts are aligned, spread, turned, pinned and duplicated, each as one named step.
func TestPartsAreArranged(t *testing.T) {
	h, _ := onSheet(t)
	all := []components.ID{"F1", "F2", "F3"}
	steps := func(name string, ok func() bool) {
		t.Helper()
		h.s.Select(all...)
		before := h.s.Doc()
		h.run(h.command(name))
		assert.True(t, ok(), name)
		assert.NotEmpty(t, h.s.UndoLabel(), name)
		h.undo()
		assert.True(t, before == h.s.Doc(), "%s is one step", name)
	}
	level := func() bool { return h.placeOf("F1").Y == h.placeOf("F2").Y && h.placeOf("F2").Y == h.placeOf("F3").Y }
	upright := func() bool { return h.placeOf("F1").X == h.placeOf("F2").X && h.placeOf("F2").X == h.placeOf("F3").X }
	for _, name := range []string{"Align top edges", "Align side by side", "Align bottom edges"} {
		steps(name, level)
	}
	for _, name := range []string{"Align left edges", "Align one above the other", "Align right edges"} {
		steps(name, upright)
	}
	h.s.Select()
	from := h.on("F2")
	h.drag(from, from.AddXY(40, 20))
	steps("Space evenly across", func() bool {
		return h.placeOf("F2").X-h.placeOf("F1").X == h.placeOf("F3").X-h.placeOf("F2").X
	})
	steps("Space evenly down", func() bool {
		return h.placeOf("F2").Y-h.placeOf("F1").Y == h.placeOf("F3").Y-h.placeOf("F2").Y
	})
	steps("Turn", func() bool { p, _ := h.s.Doc().Part("F2"); return p.Turn == 90 })
	steps("Pin in place", func() bool { return h.s.Pinned("F1") && h.s.Pinned("F3") })
	steps("Duplicate", func() bool { return len(h.s.Doc().Parts()) == 6 })
	steps("Delete", func() bool { return len(h.s.Doc().Parts()) == 0 })
	h.s.Select(all...)
	at := h.placeOf("F1")
	h.key(fyne.KeyDown)
	assert.Equal(t, at.Add(components.Point{Y: components.Module}), h.placeOf("F1"), "the arrow keys move by a module")
}

// What is copied in one project is pasted in another, with new tags where they are taken;
// what is cut is gone from the first.
func TestAPieceGoesFromProjectToProject(t *testing.T) {
	h := newHand(t)
	van, _ := projects.FindSample("camper-van")
	h.s.Start(van.Document())
	h.settle()
	h.win.Canvas().Focus(h.board)
	h.s.Select("BAT1", "F1", "W1")
	h.run(h.command("Copy"))
	bat, _ := h.s.Doc().Part("BAT1")
	bus, _ := projects.FindSample("library-bus")
	h.s.Start(bus.Document())
	h.settle()
	h.run(h.command("Paste"))
	pasted := h.s.Selected()
	require.NotEmpty(t, pasted)
	found := false
	for _, id := range pasted {
		_, taken := bus.Document().Part(id)
		assert.False(t, taken, "%s is another part's tag", id)
		if p, ok := h.s.Doc().Part(id); ok && p.Kind == bat.Kind {
			found = true
			assert.Equal(t, bat.Spec, p.Spec)
		}
	}
	assert.True(t, found, "the battery came along")
	h.undo()
	assert.Len(t, h.s.Doc().Parts(), len(bus.Document().Parts()), "one step")
	h.s.Select("F1")
	h.run(h.command("Cut"))
	_, there := h.s.Doc().Part("F1")
	assert.False(t, there)
	h.run(h.command("Paste"))
	assert.Len(t, h.s.Doc().Parts(), len(bus.Document().Parts()))
}

// A note is put down by a click, an arrow by a drag; a mark-up is moved like a part and
// goes with the delete key.
func TestMarkupsAreDrawnMovedAndDeleted(t *testing.T) {
	h, at := onSheet(t)
	put := func(text string) {
		t.Helper()
		h.await("at the text", func() bool { _, ok := h.win.Canvas().Focused().(*lines); return ok })
		l := h.win.Canvas().Focused().(*lines)
		test.Type(l, text)
		l.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	}
	h.run(h.command("Add a note"))
	h.click(at(520, 450))
	put("Check on site")
	h.run(h.command("Add an arrow"))
	h.drag(at(300, 480), at(380, 420))
	put("New lead")
	notes := h.s.Doc().Notes
	require.Len(t, notes, 2)
	assert.Equal(t, "note", notes[0].Form)
	assert.Equal(t, "arrow", notes[1].Form)
	assert.InDelta(t, 80, notes[1].To.X-notes[1].At.X, components.Module)
	was := notes[0].At
	h.click(at(600, 560))
	from := at(528, 446)
	h.drag(from, from.AddXY(40, 20))
	assert.NotEqual(t, was, h.s.Doc().Notes[0].At, "moved")
	require.Len(t, h.s.Selected(), 1)
	h.key(fyne.KeyDelete)
	assert.Len(t, h.s.Doc().Notes, 1)
}

// The keys of the view: nearer, farther, full size, the selection, the whole sheet.
func TestTheViewByKeys(t *testing.T) {
	h, _ := onSheet(t)
	h.board.TypedRune('+')
	assert.InDelta(t, 1.25, h.s.View.Zoom, 1e-9)
	h.board.TypedRune('-')
	h.board.TypedRune('-')
	assert.InDelta(t, 0.8, h.s.View.Zoom, 1e-9)
	h.board.TypedRune('1')
	assert.InDelta(t, 1, h.s.View.Zoom, 1e-9)
	h.s.Select("F3")
	h.board.TypedRune('2')
	x, y := h.s.View.ToWindow(scene.Pt{X: float64(h.placeOf("F3").X), Y: float64(h.placeOf("F3").Y)})
	assert.InDelta(t, h.s.View.W/2, x, 60)
	assert.InDelta(t, h.s.View.H/2, y, 60)
	h.board.TypedRune('f')
	x, y = h.s.View.ToWindow(h.s.Sheet().Paper.Min)
	assert.True(t, x >= 0 && y >= 0)
	h.s.Select()
	left := h.s.View.At.X
	h.key(fyne.KeyRight)
	assert.Greater(t, h.s.View.At.X, left, "with nothing selected the arrow keys pan")
	h.run(h.command("The wheel pans instead of zooming"))
	zoom, top := h.s.View.Zoom, h.s.View.At.Y
	h.board.Scrolled(&fyne.ScrollEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(100, 100)}, Scrolled: fyne.NewDelta(0, -25)})
	assert.Equal(t, zoom, h.s.View.Zoom)
	assert.Greater(t, h.s.View.At.Y, top)
	h.board.Scrolled(&fyne.ScrollEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(100, 100)}, Scrolled: fyne.NewDelta(-25, 0)})
	assert.Greater(t, h.s.View.At.X, left, "a second wheel goes sideways")
}
