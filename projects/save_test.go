package projects

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
)

// large is a rig of n fuses, so that a save takes a while.
func large(t testing.TB, n int) *components.Document {
	t.Helper()
	var edits []components.Edit
	for i := range n {
		edits = append(edits, components.AddPart{Part: components.Part{
			ID: components.ID(fmt.Sprintf("F%d", i+1)), Kind: &components.Fuse, Name: "A fuse among many",
			At:   components.Point{X: 10 * (i % 100), Y: 10 * (i / 100)},
			Spec: components.Spec{"family": components.Str("anl"), "rating_a": components.Num(100)},
		}})
	}
	doc, err := components.NewDocument("Many fuses").Apply(edits...)
	require.NoError(t, err)
	return doc
}

func names(t *testing.T, dir string) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	var all []string
	for _, e := range entries {
		all = append(all, e.Name())
	}
	return all
}

func TestSaveThenLoad(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "rig.yaml")
	doc := Blank("van-12v")
	require.NoError(t, Save(path, doc))
	got, index, err := Load(path)
	require.NoError(t, err)
	assert.Equal(t, string(Write(doc)), string(Write(got)))
	at, ok := index.Find("BAT1.spec.capacity_ah")
	assert.True(t, ok)
	assert.Positive(t, at.Line)
	assert.Equal(t, []string{"rig.yaml"}, names(t, dir))
}

func TestSaveKeepsPermissions(t *testing.T) {
	path := filepath.Join(t.TempDir(), "rig.yaml")
	for _, mode := range []os.FileMode{0o600, 0o666, 0o644} {
		require.NoError(t, os.WriteFile(path, []byte("old"), 0o600))
		require.NoError(t, os.Chmod(path, mode))
		require.NoError(t, Save(path, Blank("empty")))
		info, err := os.Stat(path)
		require.NoError(t, err)
		assert.Equal(t, mode, info.Mode().Perm())
	}
}

func TestSaveThroughALink(t *testing.T) {
	dir := t.TempDir()
	real, link := filepath.Join(dir, "real.yaml"), filepath.Join(dir, "link.yaml")
	require.NoError(t, os.WriteFile(real, []byte("old"), 0o644))
	require.NoError(t, os.Symlink("real.yaml", link))
	require.NoError(t, Save(link, Blank("empty")))
	info, err := os.Lstat(link)
	require.NoError(t, err)
	assert.NotZero(t, info.Mode()&os.ModeSymlink, "the link is still one")
	data, err := os.ReadFile(real)
	require.NoError(t, err)
	assert.Equal(t, string(Write(Blank("empty"))), string(data))
}

// What Save refuses leaves the old file and nothing beside it.
func TestSaveRefuses(t *testing.T) {
	broken, err := components.NewDocument("Rig").Apply(components.AddPart{Part: components.Part{
		ID: "F1", Kind: &components.Fuse, Spec: components.Spec{"family": components.Str("no such family")},
	}})
	require.NoError(t, err)
	for _, c := range []struct {
		name, want string
		doc        *components.Document
		prepare    func(path string) error
	}{
		{"a document that would not read back", `the project would not read back, so nothing was written: rig.yaml:12:11: part F1: rating_a is missing: want Rating, a number of A, or unknown`, broken,
			func(path string) error { return os.WriteFile(path, []byte("old"), 0o644) }},
		{"a read-only file", "is read-only: save under another name, or make it writable", Blank("empty"),
			func(path string) error { return os.WriteFile(path, []byte("old"), 0o444) }},
		{"a directory", "is not an ordinary file: save under another name", Blank("empty"),
			func(path string) error { return os.Mkdir(path, 0o755) }},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			path := filepath.Join(dir, "rig.yaml")
			require.NoError(t, c.prepare(path))
			assert.ErrorContains(t, Save(path, c.doc), c.want)
			if info, err := os.Stat(path); assert.NoError(t, err) && !info.IsDir() {
				data, err := os.ReadFile(path)
				require.NoError(t, err)
				assert.Equal(t, "old", string(data))
			}
			assert.Equal(t, []string{"rig.yaml"}, names(t, dir))
		})
	}
	assert.ErrorContains(t, Save(filepath.Join(t.TempDir(), "no", "rig.yaml"), Blank("empty")), "no such file or directory")
}

// A later save clears away what a killed one left, and nothing else.
func TestSaveSweepsLeftOvers(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "rig.yaml")
	ours := besidePrefix(path) + "0123abcd" + besideSuffix
	kept := []string{
		besidePrefix(path) + "fresh123" + besideSuffix, // of a save at work
		besidePrefix("other.yaml") + "0123abcd" + besideSuffix,
		besidePrefix(path) + "0123abcd.yaml",
		"rig.yaml.saving", ".rigline-notes",
	}
	long := time.Now().Add(-2 * abandoned)
	for _, name := range append(kept, ours) {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), nil, 0o644))
		if !strings.Contains(name, "fresh") {
			require.NoError(t, os.Chtimes(filepath.Join(dir, name), long, long))
		}
	}
	require.NoError(t, Save(path, Blank("empty")))
	assert.ElementsMatch(t, append(kept, "rig.yaml"), names(t, dir))
}
