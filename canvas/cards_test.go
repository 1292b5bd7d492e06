package canvas

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/rules"
)

// An edit that leaves the findings as they are leaves the list as it is, and its
// buttons repair the document at hand.
func TestCardsStay(t *testing.T) {
	h := newHand(t)
	h.broken(t)
	before := slices.Clone(h.findings.list.Objects)
	require.NotEmpty(t, before)
	first, _ := h.s.Report()

	p := h.s.Doc().Parts()[0]
	require.NoError(t, h.s.Do("Move", components.MovePart{ID: p.ID, At: p.At.Add(components.Point{X: -200}), Turn: p.Turn}))
	h.settle()
	report, current := h.s.Report()
	require.True(t, current)
	require.NotSame(t, first, report)
	assert.Equal(t, before, h.findings.list.Objects)

	i := slices.IndexFunc(report.Findings, func(f rules.Finding) bool { return len(f.Fixes) > 0 })
	require.GreaterOrEqual(t, i, 0)
	want, err := h.s.Doc().Apply(report.Findings[i].Fixes[0].Edits...)
	require.NoError(t, err)
	h.orders()[0].tapped()
	assert.Equal(t, want.Parts(), h.s.Doc().Parts(), "the repair that was made for this document")
	assert.Equal(t, want.Runs(), h.s.Doc().Runs())
	h.settle()
	assert.NotEqual(t, before, h.findings.list.Objects)
}
