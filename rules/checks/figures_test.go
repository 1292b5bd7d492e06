package checks

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
	"rigline/rules"
)

// What is told of a conductor where its size is chosen is the current that the rule
// about it counts: with everything on. What flows in a state is told apart from it.
func TestFiguresTellTheCurrentThatDecides(t *testing.T) {
	sample, ok := projects.FindSample("kitchen-trailer")
	require.True(t, ok)
	doc, err := sample.Document().Apply(components.Set{On: "DL1", Key: "a", Value: components.Num(90)})
	require.NoError(t, err)
	report, err := rules.Check(t.Context(), doc, All)
	require.NoError(t, err)
	figures := FiguresOf(report, "W32")
	require.Greater(t, figures.AllOnA, 0.0)
	assert.Contains(t, figures.String(), "with everything on, "+numText(figures.AllOnA)+" A for hours")
	spoke := false
	for _, f := range report.Findings {
		if f.Rule == LoadWithinAmpacity && f.At == "W32" {
			spoke = true
			assert.Contains(t, f.Message, "carries up to "+numText(figures.AllOnA)+" A for hours")
		}
	}
	assert.True(t, spoke)
}

// What stands ahead of a run is told as the loosest that it is in any state, and not as
// the last state has it, which may be a small adapter.
func TestFiguresTellTheLoosestDeviceAhead(t *testing.T) {
	sample, ok := projects.FindSample("workshop-bus")
	require.True(t, ok)
	report, err := rules.Check(t.Context(), sample.Document(), All)
	require.NoError(t, err)
	figures := FiguresOf(report, "W2")
	assert.Contains(t, figures.Ahead, "50 A")
}

// Counts are worded by their number.
func TestCount(t *testing.T) {
	assert.Equal(t, "1 string", count(1, "string", "strings"))
	assert.Equal(t, "2 strings", count(2, "string", "strings"))
	assert.Equal(t, "0.5 days", count(0.5, "day", "days"))
}
