package canvas

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
	"rigline/rules"
)

// buttonOf is the button of a dialog by its words.
func (h *hand) buttonOf(text string) *widget.Button {
	h.t.Helper()
	for _, o := range test.LaidOutObjects(h.win.Canvas().Overlays().Top()) {
		if b := asButton(o); b != nil && b.Text == text {
			return b
		}
	}
	h.t.Fatalf("no button %q", text)
	return nil
}

// A danger is taken as it is only with a reason and a name, and only at its own
// address; taken back, it stands again.
func TestADangerIsAcceptedByNameAtOnePlace(t *testing.T) {
	h := newHand(t)
	h.broken(t)
	report, _ := h.s.Report()
	dangers := report.Counts().Danger
	worst := report.Findings[0]
	require.Equal(t, rules.Danger, worst.Level)
	h.findings.askReason(worst)
	accept := h.buttonOf("Accept")
	assert.True(t, accept.Disabled(), "nothing is told yet")
	reason, ok := h.win.Canvas().Focused().(*lines)
	require.True(t, ok, "the cursor is at the reason")
	test.Type(reason, "Fused inside the pack, seen on its sheet")
	assert.True(t, accept.Disabled(), "a danger wants a name too")
	h.win.Canvas().FocusNext()
	by, ok := h.win.Canvas().Focused().(*widget.Entry)
	require.True(t, ok, "the tab key goes on to the name")
	assert.Contains(t, by.PlaceHolder, "with a name alone", "the field says why the button is off")
	test.Type(by, "A. Fitter")
	assert.False(t, accept.Disabled())
	test.Tap(accept)
	h.settle()
	require.Len(t, h.s.Doc().Accepted, 1)
	a := h.s.Doc().Accepted[0]
	assert.Equal(t, []string{worst.At}, a.On)
	assert.Equal(t, "A. Fitter", a.By)
	report, _ = h.s.Report()
	assert.Equal(t, dangers-1, report.Counts().Danger, "the others stand")
	assert.Equal(t, 1, report.Counts().Accepted)
	require.NoError(t, h.s.Unaccept(a))
	h.settle()
	report, _ = h.s.Report()
	assert.Equal(t, dangers, report.Counts().Danger)
}

// The text of a mark-up is typed at once and taken with the return key.
func TestAMarkupIsTypedAtOnce(t *testing.T) {
	h := newHand(t)
	h.s.ZoomTo(1)
	h.run(h.command("Add a cloud"))
	h.drag(h.where(h.s.View.ToSheet(300, 300)), h.where(h.s.View.ToSheet(420, 380)))
	h.win.Canvas().Unfocus() // as the toolkit does behind a release
	h.await("at the text", func() bool { _, ok := h.win.Canvas().Focused().(*lines); return ok })
	text := h.win.Canvas().Focused().(*lines)
	test.Type(text, "Moved aft")
	text.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	require.Len(t, h.s.Doc().Notes, 1)
	assert.Equal(t, "Moved aft", h.s.Doc().Notes[0].Text)
	assert.Equal(t, "cloud", h.s.Doc().Notes[0].Form)
	assert.Nil(t, h.win.Canvas().Overlays().Top())
}

// Several that are chosen are given their status as one step, and the sheet shows
// what is there before and after without moving.
func TestAStatusIsShownBeforeAndAfter(t *testing.T) {
	h := newHand(t)
	s, _ := projects.FindSample("library-bus")
	h.s.Start(s.Document())
	h.settle()
	h.s.Select("F1", "F2", "W14")
	h.pick("Status", "remove")
	for _, id := range []components.ID{"F1", "F2"} {
		p, _ := h.s.Doc().Part(id)
		assert.Equal(t, components.Remove, p.Status)
	}
	h.settle()
	at := h.where(h.s.Sheet().Bodies["F1"].Min)
	h.strip.phase.SetSelected("Show before")
	h.settle()
	assert.Contains(t, h.s.Sheet().Bodies, components.ID("F1"))
	assert.Equal(t, at, h.where(h.s.Sheet().Bodies["F1"].Min), "it stands still")
	h.strip.phase.SetSelected("Show after")
	h.settle()
	assert.NotContains(t, h.s.Sheet().Bodies, components.ID("F1"))
	assert.Len(t, h.s.Doc().Parts(), len(s.Document().Parts()))
	h.s.Undo()
	p, _ := h.s.Doc().Part("F1")
	assert.NotEqual(t, components.Remove, p.Status, "one step")
}
