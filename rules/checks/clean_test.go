package checks

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/projects"
	"rigline/rules"
)

// No danger and no violation stands on any sound rig: the samples, fifteen common
// topologies, and rigs made up for the tests.
func TestQuietWhereRight(t *testing.T) {
	for _, s := range projects.Samples() {
		t.Run(s.Name, func(t *testing.T) { quiet(t, check(t, s.Document())) })
	}
	files, err := filepath.Glob("../../testdata/topologies/*.yaml")
	require.NoError(t, err)
	require.Len(t, files, 15)
	more, err := filepath.Glob("../../testdata/rigs/*.yaml")
	require.NoError(t, err)
	require.NotEmpty(t, more)
	for _, f := range append(files, more...) {
		t.Run(filepath.Base(f), func(t *testing.T) { quiet(t, check(t, load(t, f))) })
	}
}

func quiet(t *testing.T, r *rules.Report) {
	for _, f := range r.All() {
		assert.Equal(t, rules.Advice, f.Level, "%s %s at %s: %s", f.Level, f.Rule.ID, f.At, f.Message)
	}
}
