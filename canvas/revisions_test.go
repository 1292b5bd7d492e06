package canvas

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/projects"
)

// An issue of the drawing is added, told, listed, named in the title block and
// taken back, each as a step.
func TestRevisionsAreEdited(t *testing.T) {
	h := newHand(t)
	s, _ := projects.FindSample("kitchen-trailer")
	h.s.Start(s.Document())
	h.settle()
	before := len(h.s.Doc().Revisions)
	h.press("Add a revision")
	require.Len(t, h.s.Doc().Revisions, before+1)
	h.write("What changed", "Inverter moved")
	h.write("By", "the fitter")
	last := h.s.Doc().Revisions[before]
	assert.Equal(t, "Inverter moved", last.What)
	assert.Equal(t, "the fitter", last.By)
	assert.Equal(t, last.Letter, h.s.Doc().Rig.Revision)
	assert.Equal(t, last.Date, h.s.Doc().Rig.Date)
	h.write("Letter", "K")
	assert.Equal(t, "K", h.s.Doc().Rig.Revision)
	again, _, err := projects.Read("x.yaml", projects.Write(h.s.Doc()))
	require.NoError(t, err)
	assert.Equal(t, h.s.Doc().Revisions, again.Revisions)
	for h.s.UndoLabel() != "" {
		h.undo()
	}
	assert.Len(t, h.s.Doc().Revisions, before)
}
