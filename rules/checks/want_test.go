package checks

import (
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
	"rigline/rules"
)

var update = flag.Bool("update", false, "write the .fixed.yaml files")

const wantDir = "../../testdata/rules"

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

// want is one expectation of a file: a rule at an address, with its words.
type want struct {
	at, rule string
	says     *regexp.Regexp
}

var (
	lineID = regexp.MustCompile(`id: ([^,}\s]+)`)
	wanted = regexp.MustCompile(`want (\S+) "([^"]*)"`)
)

func wants(t *testing.T, path string) []want {
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	var all []want
	for _, line := range strings.Split(string(data), "\n") {
		for _, m := range wanted.FindAllStringSubmatch(line, -1) {
			id := lineID.FindStringSubmatch(line)
			require.NotNil(t, id, line)
			all = append(all, want{id[1], m[1], regexp.MustCompile(m[2])})
		}
	}
	return all
}

// stands tells whether a finding stands at a part or run: "BAT1.pos" is at BAT1.
func stands(f rules.Finding, at string) bool {
	return f.At == at || strings.HasPrefix(f.At, at+".")
}

// Every file of testdata/rules says beside each part what is wrong there: not a
// danger or violation more, not one less.
func TestWants(t *testing.T) {
	files, err := filepath.Glob(wantDir + "/*.yaml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	covered := map[string]bool{}
	for _, path := range files {
		if strings.HasSuffix(path, ".fixed.yaml") {
			continue
		}
		t.Run(filepath.Base(path), func(t *testing.T) {
			expected := wants(t, path)
			report := check(t, load(t, path))
			for _, w := range expected {
				covered[w.rule] = true
			}
		finding:
			for _, f := range report.Findings {
				if f.Level == rules.Advice {
					continue
				}
				for i, w := range expected {
					if w.rule == f.Rule.ID && stands(f, w.at) && w.says.MatchString(f.Message) {
						expected = append(expected[:i:i], expected[i+1:]...)
						continue finding
					}
				}
				t.Errorf("not wanted: %s %s at %s: %s", f.Level, f.Rule.ID, f.At, f.Message)
			}
			for _, w := range expected {
				t.Errorf("missing: %s at %s %q", w.rule, w.at, w.says)
			}
		})
	}
	for _, r := range All {
		if r != Unsolved { // its own test needs no repair
			assert.Truef(t, covered[r.ID], "no file wants %s", r.ID)
		}
	}
}

// Each repair of each finding, applied, clears the finding and brings no new danger.
func TestRepairs(t *testing.T) {
	files, err := filepath.Glob(wantDir + "/*.yaml")
	require.NoError(t, err)
	for _, path := range files {
		if strings.HasSuffix(path, ".fixed.yaml") || strings.HasSuffix(path, "clean.yaml") {
			continue
		}
		t.Run(filepath.Base(path), func(t *testing.T) {
			doc := load(t, path)
			before := check(t, doc)
			rule := strings.TrimSuffix(filepath.Base(path), ".yaml")
			repaired := false
			for _, f := range before.Findings {
				if f.Level == rules.Advice {
					continue
				}
				for i, fix := range f.Fixes {
					next, err := doc.Apply(fix.Edits...)
					require.NoError(t, err, fix.Title)
					after := check(t, next)
					assertCleared(t, f, fix, before, after)
					if f.Rule.ID == rule && i == 0 && !repaired {
						repaired = true
						fixedFile(t, path, next)
					}
				}
			}
			assert.True(t, repaired, "no repair of %s", rule)
		})
	}
}

func assertCleared(t *testing.T, f rules.Finding, fix rules.Fix, before, after *rules.Report) {
	had := map[string]bool{}
	for _, g := range before.Findings {
		had[g.Rule.ID+" "+g.At] = true
	}
	for _, g := range after.Findings {
		if g.Rule == f.Rule && g.At == f.At && g.Level >= f.Level {
			t.Errorf("%q leaves standing: %s", fix.Title, g.Message)
		}
		if g.Level == rules.Danger && !had[g.Rule.ID+" "+g.At] {
			t.Errorf("%q brings a new danger: %s at %s: %s", fix.Title, g.Rule.ID, g.At, g.Message)
		}
	}
}

// fixedFile holds the repaired rig to the one beside the file.
func fixedFile(t *testing.T, path string, doc *components.Document) {
	fixed := strings.TrimSuffix(path, ".yaml") + ".fixed.yaml"
	text := projects.Write(doc)
	if *update {
		require.NoError(t, os.WriteFile(fixed, text, 0o644))
	}
	kept, err := os.ReadFile(fixed)
	require.NoError(t, err)
	assert.Equal(t, string(kept), string(text), fmt.Sprintf("%s is stale: run with -update and read the difference", fixed))
}
