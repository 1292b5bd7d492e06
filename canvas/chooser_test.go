package canvas

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
	"rigline/rules"
	"rigline/rules/checks"
)

// await runs late results until something is so.
func (h *hand) await(what string, so func() bool) {
	h.t.Helper()
	deadline := time.After(20 * time.Second)
	for !so() {
		select {
		case f := <-h.late:
			f()
		case <-deadline:
			h.t.Fatalf("never %s", what)
		}
	}
}

// Every size of a battery lead is weighed: a thin one is called a danger with the
// fuse that it stands behind, the present one fits, and a thicker one loses less.
func TestSizesAreWeighed(t *testing.T) {
	h := newHand(t)
	s, _ := projects.FindSample("library-bus")
	h.s.Start(s.Document())
	h.settle()
	h.s.Select("W20")
	f, _ := components.RunField("size")
	c := h.choose("W20", f)
	h.await("weighed", func() bool { return len(c.lines) > 0 })
	run, _ := h.s.Doc().Run("W20")
	var thin, fit *order
	for _, l := range c.lines {
		switch {
		case thin == nil:
			thin = l
		case strings.Contains(l.text, "(as it is)"):
			fit = l
		}
	}
	require.NotNil(t, fit)
	assert.Contains(t, thin.text, "danger")
	assert.Contains(t, fit.text, "may carry")
	assert.Contains(t, fit.text, "no rule speaks against it")
	assert.Contains(t, fit.text, "loses")
	thin.tapped()
	now, _ := h.s.Doc().Run("W20")
	assert.NotEqual(t, run.Spec["size"], now.Spec["size"])
	assert.Contains(t, h.s.UndoLabel(), "Set size of W20")
	h.settle()
	report, _ := h.s.Report()
	assert.Equal(t, rules.Danger, report.Findings[0].Level)
}

func TestRatingsAreWeighed(t *testing.T) {
	h := newHand(t)
	s, _ := projects.FindSample("library-bus")
	h.s.Start(s.Document())
	h.settle()
	h.s.Select("F3")
	p, _ := h.s.Doc().Part("F3")
	f, _ := p.Kind.Field("rating_a")
	c := h.choose("F3", f)
	h.await("weighed", func() bool { return len(c.lines) > 0 })
	assert.Len(t, c.lines, len(checks.Ratings(p)))
	fitting := 0
	for _, l := range c.lines {
		if strings.Contains(l.text, "no rule speaks against it") {
			fitting++
		}
	}
	assert.Positive(t, fitting)
	assert.Less(t, fitting, len(c.lines), "some are too small or too large")
	h.dismiss()
}

func TestSeveralAreEditedAtOnce(t *testing.T) {
	h := newHand(t)
	s, _ := projects.FindSample("library-bus")
	h.s.Start(s.Document())
	h.s.Select("W14", "W16")
	h.write("Length, one way", "1.5")
	for _, id := range []components.ID{"W14", "W16"} {
		r, _ := h.s.Doc().Run(id)
		assert.Equal(t, 1.5, r.Figure("length_ft").Value)
	}
	h.pick("Status", "existing")
	h.s.Select("F1", "F2")
	h.write("Rating", "110")
	for _, id := range []components.ID{"F1", "F2"} {
		p, _ := h.s.Doc().Part(id)
		assert.Equal(t, 110.0, p.Figure("rating_a").Value)
	}
	h.s.Undo()
	h.s.Undo()
	h.s.Undo()
	assert.Empty(t, h.s.UndoLabel(), "three steps")
	h.s.Select("F1", "W14")
	for _, r := range h.details.rows {
		assert.NotEqual(t, "Rating", r.title, "a fuse and a run have no figure in common")
	}
}
