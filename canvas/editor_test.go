package canvas

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	fynecanvas "fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/canvas/session"
	"rigline/components"
	"rigline/export/scene"
	"rigline/projects"
	"rigline/rules"
	"rigline/rules/checks"
)

// hand is a person at the window: a pointer and a keyboard over the toolkit's test
// driver. Late results wait until the hand waits for them.
type hand struct {
	*Editor
	t    *testing.T
	late chan func()
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
	deadline := time.After(10 * time.Second)
	for {
		if _, current := h.s.Report(); current {
			if _, live := h.s.Live(); live || h.s.State() == "" {
				return
			}
		}
		select {
		case f := <-h.late:
			f()
		case <-deadline:
			h.t.Fatal("no check came back")
		}
	}
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
	sel, ok := h.row(title).control.(*widget.Select)
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
		if b, ok := o.(*widget.Button); ok && b.Text == name && b.Visible() {
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

// From an empty window a person draws a 12 V bank, an inverter and a panel,
// connects them by dragging, and a missing battery fuse is called a danger before
// the file is saved.
func TestDrawingABankWithoutAFuseIsCalledADanger(t *testing.T) {
	h := newHand(t)
	assert.Equal(t, "Nothing drawn yet. Take a part from the shelf on the left", h.readiness.text.Text)
	h.s.FitDrawn()
	h.s.ZoomTo(1)

	at := func(x, y float64) scene.Pt { return h.s.View.ToSheet(x, y) }
	h.fromShelf("battery", at(200, 450))
	h.pick("Chemistry", "lfp")
	h.write("Nominal voltage of a block", "12.8")
	h.write("Capacity of a block", "200")
	h.fromShelf("inverter", at(400, 200))
	h.write("Continuous power", "2000")
	h.write("DC voltage", "12.8")
	h.fromShelf("panel", at(620, 200))

	h.connect("BAT1.pos", "INV1.dc")
	h.pick("Size", "2/0 AWG")
	h.pick("Construction", "battery-105")
	h.write("Length, one way", "4")
	h.connect("BAT1.neg", "INV1.dc")
	h.connect("INV1.ac-out", "PNL1.main")
	h.press("L to L1, N, G")

	doc := h.s.Doc()
	require.Len(t, doc.Runs(), 3)
	w1, _ := doc.Run("W1")
	assert.Equal(t, []components.Core{{From: "+", To: "+"}}, doc.CoresOf(w1))
	size, ok := w1.Size(components.Pos)
	require.True(t, ok)
	assert.Equal(t, "2/0 AWG", size.String())
	w3, _ := doc.Run("W3")
	assert.Equal(t, "L>L1, N, G", coresText(w3.Cores))

	h.settle()
	report, _ := h.s.Report()
	var unfused *rules.Finding
	for i, f := range report.Findings {
		if f.Rule == checks.BatteryUnfused {
			unfused = &report.Findings[i]
		}
	}
	require.NotNil(t, unfused, "the battery lead has no fuse and nobody says so")
	assert.Equal(t, rules.Danger, unfused.Level)
	assert.Equal(t, "BAT1.pos", unfused.At)
	assert.Contains(t, h.readiness.text.Text, "do not energize")
	assert.Contains(t, h.findings.title.Text, "danger")
	assert.True(t, h.s.Dirty(), "and nothing was saved yet")
	assert.Empty(t, h.s.Path())

	// The repair's button fits the fuse, as a step that can be taken back.
	require.NotEmpty(t, unfused.Fixes)
	h.press(unfused.Fixes[0].Title)
	assert.Equal(t, unfused.Fixes[0].Title, h.s.UndoLabel())
	assert.Equal(t, "Undo: "+unfused.Fixes[0].Title, h.items["Undo"].Label)
	h.settle()
	report, _ = h.s.Report()
	for _, f := range report.Findings {
		assert.NotEqual(t, checks.BatteryUnfused, f.Rule, "still unfused after the repair")
	}
}

func TestAFuseFromTheShelfSplitsALead(t *testing.T) {
	h := newHand(t)
	h.s.ZoomTo(1)
	at := func(x, y float64) scene.Pt { return h.s.View.ToSheet(x, y) }
	h.fromShelf("battery", at(200, 400))
	h.fromShelf("busbar", at(500, 250))
	h.connect("BAT1.pos", "BUS1.bar")
	path := h.s.Sheet().Paths["W1"]
	require.GreaterOrEqual(t, len(path), 3)
	h.fromShelf("fuse", scene.Pt{X: (path[1].X + path[2].X) / 2, Y: (path[1].Y + path[2].Y) / 2})
	assert.Equal(t, "Fit F1 in W1", h.s.UndoLabel())
	assert.Len(t, h.s.Doc().Runs(), 2)
}

func TestMenuNamesTheSteps(t *testing.T) {
	h := newHand(t)
	h.s.ZoomTo(1)
	assert.True(t, h.items["Undo"].Disabled)
	id := h.fromShelf("battery", h.s.View.ToSheet(200, 400))
	assert.Equal(t, "Undo: Add BAT1", h.items["Undo"].Label)
	p, _ := h.s.Doc().Part(id)
	centre := scene.Pt{X: float64(p.At.X), Y: float64(p.At.Y)}
	h.drag(h.where(centre), h.where(scene.Pt{X: centre.X + 60, Y: centre.Y - 30}))
	assert.Equal(t, "Undo: Move BAT1", h.items["Undo"].Label)
	h.run(h.command("Undo"))
	assert.Equal(t, "Undo: Add BAT1", h.items["Undo"].Label)
	assert.Equal(t, "Redo: Move BAT1", h.items["Redo"].Label)
	assert.False(t, h.items["Redo"].Disabled)
	h.run(h.command("Redo"))
	p, _ = h.s.Doc().Part(id)
	assert.Equal(t, int(centre.X)+60, p.At.X)
}

func TestAFieldOutOfRangeSaysSoAsTyped(t *testing.T) {
	h := newHand(t)
	h.s.ZoomTo(1)
	h.fromShelf("fuse", h.s.View.ToSheet(300, 300))
	before := h.s.Doc()
	e := h.field("Rating")
	h.win.Canvas().Focus(e)
	test.Type(e, "5000")
	assert.Equal(t, "5000: want 0.1 to 1000 A", h.note("Rating"), "before it is taken")
	assert.Equal(t, theme.ColorNameError, h.row("Rating").says.Style.ColorName, "in the colour of errors")
	e.OnSubmitted(e.Text)
	assert.Same(t, before, h.s.Doc())
	h.write("Rating", "80")
	p, _ := h.s.Doc().Part("F1")
	assert.InDelta(t, 80, p.Figure("rating_a").Value, 0)
	assert.Equal(t, "Undo: Set rating of F1 to 80 A", h.items["Undo"].Label)
	h.write("Rating", "")
	p, _ = h.s.Doc().Part("F1")
	assert.True(t, p.Spec["rating_a"].IsUnknown(), "a required figure that is emptied is unknown")
}

func TestDefaultsAreShownAsDefaults(t *testing.T) {
	h := newHand(t)
	h.s.ZoomTo(1)
	h.fromShelf("inverter", h.s.View.ToSheet(300, 300))
	e := h.field("Efficiency")
	assert.Empty(t, e.Text)
	assert.Equal(t, "0.9", e.PlaceHolder)
	assert.Contains(t, h.note("Efficiency"), "Default 0.9: common practice, no source")
	h.pick("Makes", "both-split")
	p, _ := h.s.Doc().Part("INV1")
	out, _ := p.Port("ac-out")
	assert.True(t, out.Has(components.L2))
	h.pick("Makes", "default: L1")
	p, _ = h.s.Doc().Part("INV1")
	assert.False(t, p.Spec["inverts"].Told())
}

func TestStatesColourWhatIsLive(t *testing.T) {
	h := newHand(t)
	s, _ := projects.FindSample("van-12v")
	h.s.Start(s.Document())
	h.settle()
	var names []string
	for _, o := range h.strip.row.Objects {
		names = append(names, o.(*widget.Button).Text)
	}
	assert.Equal(t, []string{"As drawn", "Off grid", "Off grid, sun", "Driving"}, names)
	lit := h.pixel("PV1")
	h.press("Off grid")
	h.settle()
	assert.Equal(t, widget.HighImportance, h.strip.row.Objects[1].(*widget.Button).Importance)
	assert.NotEqual(t, lit, h.pixel("PV1"), "no sun: the array is drawn dead")
	h.press("Off grid, sun")
	h.settle()
	assert.Equal(t, lit, h.pixel("PV1"))
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

func TestKeysOnTheSheet(t *testing.T) {
	h := newHand(t)
	h.s.ZoomTo(1)
	id := h.fromShelf("fuse", h.s.View.ToSheet(300, 300))
	h.win.Canvas().Focus(h.board)
	h.board.TypedRune('r')
	p, _ := h.s.Doc().Part(id)
	assert.Equal(t, 90, p.Turn)
	h.board.TypedKey(&fyne.KeyEvent{Name: fyne.KeyRight})
	q, _ := h.s.Doc().Part(id)
	assert.Equal(t, p.At.X+components.Module, q.At.X)
	h.board.TypedKey(&fyne.KeyEvent{Name: fyne.KeyDelete})
	assert.Empty(t, h.s.Doc().Parts())
	h.s.Undo()
	assert.Len(t, h.s.Doc().Parts(), 1)
}

func TestShortcutsInATextFieldMeanTheText(t *testing.T) {
	h := newHand(t)
	h.s.ZoomTo(1)
	h.fromShelf("fuse", h.s.View.ToSheet(300, 300))
	h.app.Clipboard().SetContent("Kim")
	e := h.field("Name")
	h.win.Canvas().Focus(e)
	h.run(h.command("Paste"))
	assert.Equal(t, "Kim", e.Text)
	assert.Len(t, h.s.Doc().Parts(), 1)
	h.run(h.command("Undo"))
	assert.Empty(t, e.Text, "typing is taken back before steps are")
	assert.Len(t, h.s.Doc().Parts(), 1)
	h.win.Canvas().Focus(h.board)
	h.s.SelectAll()
	h.run(h.command("Copy"))
	h.run(h.command("Paste"))
	assert.Len(t, h.s.Doc().Parts(), 2)
}

func TestSavingTakesWhatIsStillBeingTyped(t *testing.T) {
	h := newHand(t)
	h.s.ZoomTo(1)
	h.fromShelf("fuse", h.s.View.ToSheet(300, 300))
	path := filepath.Join(t.TempDir(), "rig.yaml")
	require.NoError(t, h.s.Save(path))
	e := h.field("Name")
	h.win.Canvas().Focus(e)
	test.Type(e, "Main fuse")
	assert.False(t, h.s.Dirty(), "not taken yet")
	h.run(h.command("Save"))
	doc, _, err := projects.Load(path)
	require.NoError(t, err)
	p, _ := doc.Part("F1")
	assert.Equal(t, "Main fuse", p.Name)
	test.Type(e, " of the bank")
	e.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	assert.Equal(t, "Main fuse", e.Text, "escape puts the text back")
	assert.False(t, h.s.Dirty())
}

func TestSaveAsAsksBeforeItWritesOver(t *testing.T) {
	h := newHand(t)
	h.s.ZoomTo(1)
	h.fromShelf("fuse", h.s.View.ToSheet(300, 300))
	dir := t.TempDir()
	h.saveTo(filepath.Join(dir, "rig"), nil)
	assert.FileExists(t, filepath.Join(dir, "rig.yaml"), "with an ending of its own")
	assert.False(t, h.s.Dirty())
	other := filepath.Join(dir, "other.yaml")
	require.NoError(t, os.WriteFile(other, []byte("precious"), 0o644))
	h.saveTo(other, nil)
	h.press("No")
	kept, err := os.ReadFile(other)
	require.NoError(t, err)
	assert.Equal(t, "precious", string(kept), "untouched until the person says so")
	h.saveTo(other, nil)
	h.press("Yes")
	assert.Equal(t, other, h.s.Path())
}

func TestTheDrawingStaysAsItIsUnderADialog(t *testing.T) {
	h := newHand(t)
	h.s.ZoomTo(1)
	h.fromShelf("fuse", h.s.View.ToSheet(300, 300))
	h.run(h.command("Keys and pointer"))
	require.NotNil(t, h.win.Canvas().Overlays().Top())
	h.run(h.command("Undo"))
	h.run(h.command("Delete"))
	h.typedKey(&fyne.KeyEvent{Name: fyne.KeyDelete})
	assert.Len(t, h.s.Doc().Parts(), 1)
	h.typedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	assert.Nil(t, h.win.Canvas().Overlays().Top(), "escape closes it")
	h.run(h.command("Delete"))
	assert.Empty(t, h.s.Doc().Parts())
}

func TestLostWorkIsOffered(t *testing.T) {
	dir := t.TempDir()
	gone := exec.Command("true")
	require.NoError(t, gone.Run())
	head := fmt.Sprintf(`# unsaved {"project":"","pid":%d,"time":"2026-05-01T10:00:00Z"}`, gone.Process.Pid)
	s, _ := projects.FindSample("van-12v")
	copied := filepath.Join(dir, "x-1.unsaved")
	require.NoError(t, os.WriteFile(copied, []byte(head+"\n"+string(s.Data)), 0o600))
	h := newHand(t)
	h.KeepBackups(dir)
	h.press("Ask again later")
	assert.FileExists(t, copied)
	h.backups.offer()
	h.press("Take it up again")
	assert.Equal(t, "Van, 12 V", h.s.Doc().Title)
	assert.True(t, h.s.Dirty())
	h.backups.drop()
	files, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Empty(t, files, "once given up or saved nothing is left")
}

func TestAMetricProjectReadsMetres(t *testing.T) {
	h := newHand(t)
	h.s.ZoomTo(1)
	at := func(x, y float64) scene.Pt { return h.s.View.ToSheet(x, y) }
	h.fromShelf("battery", at(200, 400))
	h.fromShelf("busbar", at(500, 250))
	h.s.Select()
	h.pick("Units", "metric")
	h.connect("BAT1.pos", "BUS1.bar")
	h.write("Length, one way", "1.5")
	r, _ := h.s.Doc().Run("W1")
	assert.InDelta(t, 1.5/0.3048, r.Figure("length_ft").Value, 1e-4)
	assert.Equal(t, "1.5", h.field("Length, one way").Text)
	h.pick("Size", "35 mm2")
	r, _ = h.s.Doc().Run("W1")
	assert.Equal(t, "35 mm2", r.Spec["size"].String())
}

func TestPartsArePlacedWithoutAPointer(t *testing.T) {
	h := newHand(t)
	h.s.ZoomTo(1)
	for range 3 {
		h.shelf.search.SetText("battery")
		h.shelf.search.OnSubmitted("battery")
		h.board.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	}
	parts := h.s.Doc().Parts()
	require.Len(t, parts, 3)
	assert.NotEqual(t, parts[0].At, parts[1].At)
	assert.NotEqual(t, parts[1].At, parts[2].At)
	h.board.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	assert.IsType(t, &entry{}, h.win.Canvas().Focused(), "then its figures")
}

func TestTenQuestionsDrawAFirstSheet(t *testing.T) {
	assert.Len(t, questions, 10)
	h := newHand(t)
	h.run(h.command("New"))
	h.press("Answer ten questions")
	h.press("Draw it")
	h.settle()
	assert.Greater(t, len(h.s.Doc().Parts()), 20)
	bat, ok := h.s.Doc().Part("BAT1")
	require.True(t, ok)
	assert.InDelta(t, 12.8, bat.Figure("nominal_v").Value, 0)
	report, _ := h.s.Report()
	assert.Zero(t, report.Counts().Danger)
	assert.NotZero(t, report.Counts().Unchecked, "what nobody told is not taken for good")
	for _, q := range questions {
		for i := range q.answers {
			var a session.Answers
			q.answers[i].set(&a)
		}
	}
}

func TestLeavingUnsavedWorkAsksFirst(t *testing.T) {
	h := newHand(t)
	h.s.ZoomTo(1)
	h.fromShelf("fuse", h.s.View.ToSheet(300, 300))
	h.run(h.command("New"))
	require.NotNil(t, h.win.Canvas().Overlays().Top())
	h.press("Cancel")
	assert.Len(t, h.s.Doc().Parts(), 1)
	h.run(h.command("New"))
	h.press("Leave unsaved")
	h.press("Van, 12 V")
	assert.Greater(t, len(h.s.Doc().Parts()), 10)
	assert.False(t, h.s.Dirty())
}

func TestAFaultyFileListsItsFaults(t *testing.T) {
	h := newHand(t)
	path := filepath.Join(t.TempDir(), "broken.yaml")
	require.NoError(t, os.WriteFile(path, []byte("format: rigline/1\ntitle: x\nparts:\n  - {id: BAT1, kind: batery, at: [0, 0]}\nruns: []\n"), 0o644))
	h.open(path)
	top := h.win.Canvas().Overlays().Top()
	require.NotNil(t, top)
	found := false
	for _, o := range test.LaidOutObjects(top) {
		if l, ok := o.(*widget.Label); ok && strings.Contains(l.Text, `broken.yaml:4:`) && strings.Contains(l.Text, "battery") {
			found = true
		}
	}
	assert.True(t, found, "the line of the fault, and the word that was meant")
	assert.Empty(t, h.s.Doc().Parts())
}

func TestPanAndZoomOnTheSheet(t *testing.T) {
	h := newHand(t)
	h.s.ZoomTo(1)
	origin := h.s.View.At
	mid := h.app.Driver().AbsolutePositionForObject(h.board).AddXY(300, 300)
	h.dragWith(mid, mid.AddXY(50, -20), desktop.MouseButtonTertiary, 0)
	assert.InDelta(t, origin.X-50, h.s.View.At.X, 0.01)
	assert.InDelta(t, origin.Y+20, h.s.View.At.Y, 0.01)
	h.board.KeyDown(&fyne.KeyEvent{Name: fyne.KeySpace})
	h.drag(mid, mid.AddXY(-50, 20))
	h.board.KeyUp(&fyne.KeyEvent{Name: fyne.KeySpace})
	assert.InDelta(t, origin.X, h.s.View.At.X, 0.01)
	under := h.s.View.ToSheet(100, 100)
	h.board.Scrolled(&fyne.ScrollEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(100, 100)}, Scrolled: fyne.NewDelta(0, 25)})
	assert.InDelta(t, session.ZoomStep, h.s.View.Zoom, 1e-9)
	assert.InDelta(t, under.X, h.s.View.ToSheet(100, 100).X, 1e-6)
	assert.Equal(t, "125 %", h.zoom.Text)
}

func TestClickThenPlaceAndEscape(t *testing.T) {
	h := newHand(t)
	h.s.ZoomTo(1)
	h.shelf.search.SetText("battery")
	test.Tap(h.shelf.items[0])
	h.click(h.where(h.s.View.ToSheet(250, 250)))
	assert.Len(t, h.s.Doc().Parts(), 1)
	test.Tap(h.shelf.items[0])
	h.board.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	h.click(h.where(h.s.View.ToSheet(450, 250)))
	assert.Len(t, h.s.Doc().Parts(), 1)
}

func TestEveryKeyInTheListIsUsedOnce(t *testing.T) {
	h := newHand(t)
	seen := map[string]string{}
	for _, c := range h.table {
		if c.shortcut != nil {
			name := c.shortcut.ShortcutName()
			assert.Empty(t, seen[name], "%s and %s", c.name, seen[name])
			seen[name] = c.name
		}
		if c.rune != 0 {
			assert.Empty(t, seen[string(c.rune)], "%s and %s", c.name, seen[string(c.rune)])
			seen[string(c.rune)] = c.name
		}
	}
	assert.NotEmpty(t, h.keyList())
}

func TestCautionsOnceAtFirstStart(t *testing.T) {
	a := test.NewTempApp(t)
	late := make(chan func(), 64)
	e := New(a, func(f func()) { late <- f }, checks.All)
	t.Cleanup(e.win.Close)
	e.Start("")
	require.NotNil(t, e.win.Canvas().Overlays().Top(), "shown at the first start")
	h := &hand{Editor: e, t: t, late: late}
	h.press("I have read them")
	assert.True(t, a.Preferences().Bool(prefCautions))
	assert.Nil(t, e.win.Canvas().Overlays().Top())
	e.Start("")
	assert.Nil(t, e.win.Canvas().Overlays().Top(), "and not again")
	e.run(e.command("Cautions"))
	assert.NotNil(t, e.win.Canvas().Overlays().Top(), "but always under Help")
}

func TestBothLooksDrawTheSheet(t *testing.T) {
	h := newHand(t)
	s, _ := projects.FindSample("van-12v")
	h.s.Start(s.Document())
	for _, look := range []Look{Light, Dark} {
		h.setLook(look)
		want := scene.OnWhite[scene.Paper]
		if look == Dark {
			want = scene.OnDark[scene.Paper]
		}
		img := h.board.paint(800, 600)
		n := 0
		for y := range 600 {
			for x := range 800 {
				r, g, b, _ := img.At(x, y).RGBA()
				if uint8(r>>8) == want.R && uint8(g>>8) == want.G && uint8(b>>8) == want.B {
					n++
				}
			}
		}
		assert.Greater(t, n, 100_000, "%s: most of the picture is paper", look)
	}
	fynecanvas.Refresh(h.board)
}

func BenchmarkPaintWholeSheet(b *testing.B) {
	a := test.NewApp()
	defer a.Quit()
	e := New(a, func(func()) {}, nil)
	s, _ := projects.FindSample("bus-50a")
	e.s.Start(s.Document())
	e.s.Resize(1200, 800)
	e.board.Resize(fyne.NewSize(1200, 800))
	for b.Loop() {
		e.board.base.img = nil
		e.board.paint(1200, 800)
	}
}

func BenchmarkPaintWhileDragging(b *testing.B) {
	a := test.NewApp()
	defer a.Quit()
	e := New(a, func(func()) {}, nil)
	s, _ := projects.FindSample("bus-50a")
	e.s.Start(s.Document())
	e.s.Resize(1200, 800)
	e.board.Resize(fyne.NewSize(1200, 800))
	p := e.s.Doc().Parts()[0]
	at := session.Pointer{At: scene.Pt{X: float64(p.At.X), Y: float64(p.At.Y)}, Reach: 6}
	e.s.Press(at)
	for b.Loop() {
		at.At.X += 10
		e.s.Drag(at)
		e.board.paint(1200, 800)
	}
}
