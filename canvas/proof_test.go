package canvas

import (
	"fmt"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/export/checklist"
	"rigline/projects"
)

// A reading is told in the checklist, judged against what the drawing predicts,
// kept in the project as a step, and taken back.
func TestReadingsAreToldAndJudged(t *testing.T) {
	h := newHand(t)
	s, _ := projects.FindSample("kitchen-trailer")
	h.s.Start(s.Document())
	h.settle()
	h.win.Resize(fyne.NewSize(700, 720))
	h.showProof()
	h.await("worked out", func() bool { return len(h.proof.all) > 0 })
	p := h.proof
	line := p.told.MinSize().Height
	var at checklist.Result
	for _, r := range p.all {
		if r.Expect.Kind == checklist.Band && r.Expect.HasFigure && r.Reading == nil {
			at = r
			break
		}
	}
	require.NotEmpty(t, at.ID)
	p.by.SetText("the fitter")
	p.phases.SetSelected(at.Phase.Title)
	p.read(at.Item, fmt.Sprint(at.Expect.Figure))
	st := p.steps[at.Key()]
	assert.Contains(t, st.verdict.Text, "Pass")
	latest, base := h.s.Doc().ReadingOf(at.Key())
	require.NotNil(t, latest)
	assert.Equal(t, "the fitter", latest.By)
	assert.Same(t, latest, base)

	p.read(at.Item, fmt.Sprint(1000*at.Expect.Figure+1e4))
	assert.Contains(t, st.verdict.Text, "Fail")
	assert.Contains(t, st.verdict.Text, "What it means: ")
	assert.Contains(t, p.told.Text, "put it right before")
	assert.Greater(t, p.told.MinSize().Height, line, "on a line of its own it would be cut off")
	assert.GreaterOrEqual(t, p.told.Size().Height, p.told.MinSize().Height, "so it has more")
	latest, _ = h.s.Doc().ReadingOf(at.Key())
	assert.True(t, latest.Baseline, "a reading of the same day is put right, not added to")

	p.read(at.Item, "thirteen")
	assert.Contains(t, st.verdict.Text, "thirteen")
	again, _, err := projects.Read("x.yaml", projects.Write(h.s.Doc()))
	require.NoError(t, err)
	assert.Equal(t, h.s.Doc().Readings, again.Readings)
	p.read(at.Item, "")
	latest, _ = h.s.Doc().ReadingOf(at.Key())
	assert.Nil(t, latest)
	assert.NotEmpty(t, test.LaidOutObjects(h.win.Canvas().Overlays().Top()))
}
