package command_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/assets"
	"rigline/export/report"
	"rigline/projects"
)

func samples(t *testing.T) []projects.Sample {
	if testing.Short() {
		return projects.Samples()[:1]
	}
	return projects.Samples()
}

// joined is a text without its line breaks, as a drawing or a page breaks it.
func joined(text string) string { return strings.Join(strings.Fields(text), " ") }

// Every file of a hand-off says whose it is, which revision of which date, by which
// rules and editions, and carries the cautions; the project file says it in its own way.
func TestEveryFileSaysWhatItBelongsTo(t *testing.T) {
	for _, s := range samples(t) {
		doc := s.Document()
		project := report.ProjectOf(doc)
		texts := readables(t, s.Name)
		own, err := os.ReadFile(filepath.Join(exported(t, s.Name), s.Name+".yaml"))
		require.NoError(t, err)
		texts["the project's own"] = joined(string(own))
		for name, text := range texts {
			for _, want := range []string{project.Title, project.Revision, project.Date, project.Rules} {
				require.NotEmpty(t, want, s.Name)
				assert.Contains(t, text, joined(want), "%s: %s", s.Name, name)
			}
			for _, c := range strings.Split(strings.TrimSpace(assets.Cautions), "\n") {
				assert.Contains(t, text, joined(c), "%s: %s", s.Name, name)
			}
		}
	}
}

// readables are the texts of a rig's hand-off by file, but for the project's own.
func readables(t *testing.T, rig string) map[string]string {
	t.Helper()
	dir := exported(t, rig)
	files, err := os.ReadDir(dir)
	require.NoError(t, err)
	texts := map[string]string{}
	for _, f := range files {
		ext := filepath.Ext(f.Name())
		if strings.HasPrefix(f.Name(), ".") || ext == ".yaml" {
			continue
		}
		if text, ok := readable(t, filepath.Join(dir, f.Name())); ok {
			if text = joined(text); ext == ".csv" {
				text = strings.ReplaceAll(text, `""`, `"`)
			}
			texts[f.Name()] = text
		}
	}
	return texts
}

// The same project gives the same files, byte for byte, under the same names.
func TestSameProjectSameFolder(t *testing.T) {
	for _, s := range samples(t) {
		one, other := exported(t, s.Name), exported(t, s.Name)
		files, err := os.ReadDir(one)
		require.NoError(t, err)
		again, err := os.ReadDir(other)
		require.NoError(t, err)
		require.Len(t, again, len(files))
		for _, f := range files {
			a, err := os.ReadFile(filepath.Join(one, f.Name()))
			require.NoError(t, err)
			b, err := os.ReadFile(filepath.Join(other, f.Name()))
			require.NoError(t, err, f.Name())
			assert.True(t, string(a) == string(b), "%s: %s is not the same each time", s.Name, f.Name())
		}
	}
}

// While a danger is open every file says so: whoever is handed one of them alone must
// not take it for leave to switch on.
func TestEveryFileSaysWhatKeepsTheRigFromUse(t *testing.T) {
	for _, name := range []string{"broken/kitchen-trailer", "broken/caravan-230"} {
		files := readables(t, name)
		assert.Greater(t, len(files), 20)
		for file, text := range files {
			assert.Contains(t, text, "do not energize", "%s: %s", name, file)
		}
	}
}
