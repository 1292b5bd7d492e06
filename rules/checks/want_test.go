package checks

import (
	"context"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
	"rigline/rules"
)

var update = flag.Bool("update", false, "write the .fixed.yaml files")

func check(t testing.TB, doc *components.Document) *rules.Report {
	t.Helper()
	r, err := rules.Check(context.Background(), doc, All)
	require.NoError(t, err)
	return r
}

func load(t testing.TB, path string) *components.Document {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	doc, _, err := projects.Read(path, data)
	require.NoError(t, err)
	return doc
}

// The rig beside each want-file is what the first repair of its rule makes of it,
// to the letter. What the files want, and that every repair clears its finding,
// is for rules/rulestest.
func TestFirstRepairGivesTheFixedFile(t *testing.T) {
	files, err := filepath.Glob("../../testdata/rules/*.yaml")
	require.NoError(t, err)
	for _, path := range files {
		rule := strings.TrimSuffix(filepath.Base(path), ".yaml")
		if strings.HasSuffix(rule, ".fixed") || rule == "clean" {
			continue
		}
		t.Run(rule, func(t *testing.T) {
			doc := load(t, path)
			for _, f := range check(t, doc).All() {
				if f.Rule.ID != rule || len(f.Fixes) == 0 {
					continue
				}
				next, err := doc.Apply(f.Fixes[0].Edits...)
				require.NoError(t, err)
				text := projects.Write(next)
				fixed := strings.TrimSuffix(path, ".yaml") + ".fixed.yaml"
				if *update {
					require.NoError(t, os.WriteFile(fixed, text, 0o644))
				}
				kept, err := os.ReadFile(fixed)
				require.NoError(t, err)
				assert.Equal(t, string(kept), string(text), "%s is stale: run with -update and read the difference", fixed)
				return
			}
			t.Errorf("no repair of %s", rule)
		})
	}
}
