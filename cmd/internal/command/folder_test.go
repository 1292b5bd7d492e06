package command

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// An export that breaks off in its midst leaves the old folder as it was, file by
// file, and nothing of its own beside it.
func TestBrokenExportLeavesTheOldFolder(t *testing.T) {
	parent := t.TempDir()
	dir := filepath.Join(parent, "out")
	require.NoError(t, writeFolder(dir, []sheet{{"rig.svg", []byte("old drawing")}, {"bom.csv", []byte("old list")}}))
	err := writeFolder(dir, []sheet{{"rig.svg", []byte("new drawing")}, {"no/such/folder.csv", []byte("new list")}, {"bom.csv", []byte("new list")}})
	require.ErrorContains(t, err, "export to "+dir)
	for name, want := range map[string]string{"rig.svg": "old drawing", "bom.csv": "old list"} {
		got, err := os.ReadFile(filepath.Join(dir, name))
		require.NoError(t, err)
		assert.Equal(t, want, string(got))
	}
	beside, err := os.ReadDir(parent)
	require.NoError(t, err)
	assert.Len(t, beside, 1, "only the old folder stands there")

	require.NoError(t, writeFolder(dir, []sheet{{"rig.svg", []byte("new drawing")}}))
	_, err = os.Stat(filepath.Join(dir, "bom.csv"))
	assert.ErrorIs(t, err, os.ErrNotExist, "a whole export replaces the folder")
}
