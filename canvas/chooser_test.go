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
	assert.Same(t, fit, h.win.Canvas().Focused(), "the keyboard is at the present value")
	top := c.roll.Offset.Y
	y := h.app.Driver().AbsolutePositionForObject(fit).Y - h.app.Driver().AbsolutePositionForObject(c.roll).Y
	assert.True(t, top > 0 && y >= 0 && y < c.roll.Size().Height, "and it is in sight: %g of %g", y, top)
	assert.Contains(t, thin.text, "danger")
	assert.Contains(t, fit.text, "may carry")
	assert.Contains(t, fit.text, "no rule speaks against it")
	assert.Contains(t, fit.text, "lost")
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
	h.s.Select("F1", "F3")
	assert.Equal(t, mixed, h.field("Rating").PlaceHolder, "100 A and 200 A")
	h.s.Select("F1", "W14")
	for _, r := range h.details.rows {
		assert.NotEqual(t, "Rating", r.title, "a fuse and a run have no figure in common")
	}
}

// The breaker of a panel's circuit is weighed like any device: one above what its
// wire carries is spoken against, and the one chosen is a step of its own.
func TestBreakersOfCircuitsAreWeighed(t *testing.T) {
	h := newHand(t)
	s, _ := projects.FindSample("kitchen-trailer")
	h.s.Start(s.Document())
	h.settle()
	p, ok := h.s.Doc().Part("PNL1")
	require.True(t, ok)
	rows, _ := p.Kind.Field("circuits")
	cell := &rows.Row[1]
	require.Equal(t, "breaker_a", cell.Key)
	was := p.Spec["circuits"].Rows()[1]["breaker_a"].Num()
	c := h.chooseCell("PNL1", rows, 1, cell)
	h.await("weighed", func() bool { return len(c.lines) > 0 })
	var now, most *order
	for _, l := range c.lines {
		if strings.Contains(l.text, "(as it is)") {
			now = l
		}
		most = l
	}
	require.NotNil(t, now)
	assert.Contains(t, now.text, components.Num(was).String()+" A")
	assert.Contains(t, now.text, "in the state")
	assert.Contains(t, now.text, "no rule speaks against it")
	assert.Regexp(t, "danger|violation", most.text, "the largest is too much for the wire")
	most.tapped()
	p, _ = h.s.Doc().Part("PNL1")
	assert.Equal(t, 100.0, p.Spec["circuits"].Rows()[1]["breaker_a"].Num())
	h.undo()
	p, _ = h.s.Doc().Part("PNL1")
	assert.Equal(t, was, p.Spec["circuits"].Rows()[1]["breaker_a"].Num())
}
