package projects

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "rewrite the expected faults and files")

const brokenDir = "../testdata/projects"

// brokenFiles are files that do not read; beside each stands, in a file of the
// same name, what is wrong with it.
func brokenFiles(t testing.TB) []string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(brokenDir, "*.yaml"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	return files
}

func TestBrokenFiles(t *testing.T) {
	for _, file := range brokenFiles(t) {
		t.Run(filepath.Base(file), func(t *testing.T) {
			data, err := os.ReadFile(file)
			require.NoError(t, err)
			doc, index, err := Read(filepath.Base(file), data)
			require.Error(t, err)
			assert.Nil(t, doc)
			assert.Nil(t, index)
			var problems Problems
			require.ErrorAs(t, err, &problems)
			got := err.Error() + "\n"
			wantFile := strings.TrimSuffix(file, ".yaml") + ".want"
			if *update {
				require.NoError(t, os.WriteFile(wantFile, []byte(got), 0o644))
			}
			want, err := os.ReadFile(wantFile)
			require.NoError(t, err)
			assert.Equal(t, string(want), got)
		})
	}
}
