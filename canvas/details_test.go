package canvas

import (
	"testing"

	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/theme"
	"github.com/stretchr/testify/assert"

	"rigline/components"
	"rigline/export/scene"
)

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
	h.pick("Makes", "two legs, 240 V between them")
	p, _ := h.s.Doc().Part("INV1")
	out, _ := p.Port("ac-out")
	assert.True(t, out.Has(components.L2))
	h.pick("Makes", "default: one leg")
	p, _ = h.s.Doc().Part("INV1")
	assert.False(t, p.Spec["inverts"].Told())
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

func TestAMetricProjectReadsMetres(t *testing.T) {
	h := newHand(t)
	h.s.ZoomTo(1)
	at := func(x, y float64) scene.Pt { return h.s.View.ToSheet(x, y) }
	h.fromShelf("battery", at(200, 400))
	h.fromShelf("busbar", at(500, 250))
	h.s.Select()
	h.pick("Units", "mm² and metres")
	h.connect("BAT1.pos", "BUS1.bar")
	h.write("Length, one way", "1.5")
	r, _ := h.s.Doc().Run("W1")
	assert.InDelta(t, 1.5/0.3048, r.Figure("length_ft").Value, 1e-4)
	assert.Equal(t, "1.5", h.field("Length, one way").Text)
	h.pick("Size", "35 mm²")
	r, _ = h.s.Doc().Run("W1")
	assert.Equal(t, "35 mm2", r.Spec["size"].String())
}

func TestAFigureOfFewValuesIsAList(t *testing.T) {
	h := newHand(t)
	h.s.ZoomTo(1)
	h.fromShelf("inlet", h.s.View.ToSheet(300, 300))
	h.pick("Rating", "50")
	p, _ := h.s.Doc().Part("INL1")
	assert.InDelta(t, 50, p.Figure("rating_a").Value, 0)
	pins, _ := p.Port("site")
	assert.True(t, pins.Has(components.L2), "50 A has four wires")
}
