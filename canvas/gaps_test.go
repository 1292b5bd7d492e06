package canvas

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
)

// lacking opens a sample without some of its figures.
func (h *hand) lacking(edits ...components.Edit) {
	h.t.Helper()
	van, ok := projects.FindSample("camper-van")
	require.True(h.t, ok)
	h.s.Start(van.Document())
	require.NoError(h.t, h.s.Do("Forget", edits...))
	h.settle()
}

// The missing figures are told one after the other from the keyboard: the return key
// goes on to the next, and the sheet shows what it is of.
func TestMissingFiguresAreToldInOneGo(t *testing.T) {
	h := newHand(t)
	h.lacking(components.Set{On: "W1", Key: "length_ft", Value: components.Unknown}, components.Set{On: "W3", Key: "length_ft", Value: components.Unknown})
	require.Len(t, h.s.Lacks(), 2)
	h.run(h.command("Tell what is missing"))
	assert.False(t, h.details.box.Visible())
	for _, id := range []components.ID{"W1", "W3"} {
		e, ok := h.win.Canvas().Focused().(*entry)
		require.True(t, ok)
		assert.True(t, h.s.IsSelected(id), "the sheet shows %s", id)
		test.Type(e, "4")
		e.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
		r, _ := h.s.Doc().Run(id)
		assert.Equal(t, 4.0, r.Figure("length_ft").Value)
	}
	h.settle()
	assert.Equal(t, "No figure is missing", h.gaps.title.Text)
	h.press("Back to the details")
	assert.True(t, h.details.box.Visible())
}

// A word of a list is chosen by its first letter, and the return key goes on; where
// one of two is enough, the other is passed over.
func TestAMissingWordIsChosenByItsLetter(t *testing.T) {
	h := newHand(t)
	h.lacking(components.Set{On: "BAT1", Key: "cold_cutoff", Value: components.Value{}}, components.Set{On: "BAT1", Key: "coldest_c", Value: components.Value{}},
		components.Set{On: "W1", Key: "length_ft", Value: components.Unknown})
	h.run(h.command("Tell what is missing"))
	c, ok := h.win.Canvas().Focused().(*pickList)
	require.True(t, ok)
	c.TypedRune('y')
	bat, _ := h.s.Doc().Part("BAT1")
	assert.True(t, bat.Spec["cold_cutoff"].Truth())
	c.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	assert.True(t, h.s.IsSelected("W1"))
}

// What has no size is sized by the rules once the person takes what they found, as
// one step.
func TestMissingSizesAreChosenByTheRules(t *testing.T) {
	h := newHand(t)
	van, _ := projects.FindSample("camper-van")
	was := map[components.ID]string{}
	var edits []components.Edit
	for _, r := range van.Document().Runs() {
		if size, ok := r.Size(""); ok && r.Status != components.Existing && len(edits) < 2 {
			was[r.ID] = size.String()
			edits = append(edits, components.Set{On: r.ID, Key: "size", Value: components.Unknown})
		}
	}
	h.lacking(edits...)
	require.Len(t, h.s.Unsized(), 2)
	h.run(h.command("Size what has no size"))
	for h.win.Canvas().Overlays().Top() == nil {
		(<-h.late)()
	}
	h.press("Take these sizes")
	h.settle()
	assert.Empty(t, h.s.Unsized())
	report, _ := h.s.Report()
	assert.True(t, report.Ready(), "%v", report.Counts())
	h.s.Undo()
	assert.Len(t, h.s.Unsized(), 2)
}

// What a figure makes the checks ask for comes behind the last, and the cursor goes
// there by itself.
func TestTheCursorGoesOnToWhatIsAskedForSince(t *testing.T) {
	h := newHand(t)
	h.lacking(components.Set{On: "W1", Key: "length_ft", Value: components.Unknown})
	h.run(h.command("Tell what is missing"))
	e, ok := h.win.Canvas().Focused().(*entry)
	require.True(t, ok)
	e.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn}) // at the end, and nothing told
	require.NoError(t, h.s.Do("Forget", components.Set{On: "W3", Key: "length_ft", Value: components.Unknown}))
	h.settle()
	assert.True(t, h.s.IsSelected("W3"))
	next, ok := h.win.Canvas().Focused().(*entry)
	require.True(t, ok)
	assert.NotSame(t, e, next)
}
