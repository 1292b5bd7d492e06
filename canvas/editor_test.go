package canvas

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/scene"
	"rigline/projects"
	"rigline/rules"
	"rigline/rules/checks"
)

// From an empty window a person draws a 12 V bank, an inverter and a panel,
// connects them by dragging, and a missing battery fuse is called a danger before
// the file is saved.
func TestDrawingABankWithoutAFuseIsCalledADanger(t *testing.T) {
	h := newHand(t)
	assert.Equal(t, "Nothing drawn yet. Answer a few questions, or take a part from the shelf on the left", h.readiness.text.Text)
	h.s.FitDrawn()
	h.s.ZoomTo(1)

	at := func(x, y float64) scene.Pt { return h.s.View.ToSheet(x, y) }
	h.fromShelf("battery", at(200, 450))
	h.pick("Chemistry", "lithium iron phosphate")
	h.write("Nominal voltage of a block", "12.8")
	h.write("Capacity of a block", "200")
	h.fromShelf("inverter", at(400, 200))
	h.write("Continuous power", "2000")
	h.write("DC voltage", "12.8")
	h.fromShelf("panel", at(620, 200))

	h.connect("BAT1.pos", "INV1.dc")
	h.pick("Size", "2/0 AWG")
	h.pick("Construction", "battery cable, 105 °C")
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

func TestStatesColourWhatIsLive(t *testing.T) {
	h := newHand(t)
	s, _ := projects.FindSample("van-12v")
	h.s.Start(s.Document())
	h.settle()
	var names []string
	for _, o := range h.strip.row.Objects {
		names = append(names, o.(*tipButton).Text)
	}
	assert.Equal(t, []string{"As drawn", "Off grid", "Off grid, sun", "Driving"}, names)
	lit := h.pixel("PV1")
	h.press("Off grid")
	h.settle()
	assert.Equal(t, widget.HighImportance, h.strip.row.Objects[1].(*tipButton).Importance)
	assert.NotEqual(t, lit, h.pixel("PV1"), "no sun: the array is drawn dead")
	h.press("Off grid, sun")
	h.settle()
	assert.Equal(t, lit, h.pixel("PV1"))
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
	assert.Same(t, h.row("Chemistry").control, h.win.Canvas().Focused(), "then its first figure")
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
