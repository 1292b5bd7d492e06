package canvas

import (
	"testing"

	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/rules"
)

// buttonOf is the button of a dialog by its words.
func (h *hand) buttonOf(text string) *widget.Button {
	h.t.Helper()
	for _, o := range test.LaidOutObjects(h.win.Canvas().Overlays().Top()) {
		if b, ok := o.(*widget.Button); ok && b.Text == text {
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
