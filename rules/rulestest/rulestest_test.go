package rulestest_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/checks"
	"rigline/rules/rulestest"
)

// heard collects what the runner has to say.
type heard struct{ lines []string }

func (h *heard) Helper() {}
func (h *heard) Errorf(format string, args ...any) {
	h.lines = append(h.lines, fmt.Sprintf(format, args...))
}

const rig = `format: rigline/1
title: t
parts:
  - {id: F1, kind: fuse, at: [0, 0], spec: {family: class-t, rating_a: %s}}%s
`

// above speaks of F1 above 100 A; its repair sets another rating.
func above(propose float64) *rules.Rule {
	return &rules.Rule{ID: "test.above", Level: rules.Violation, Check: func(p *rules.Pass) {
		f1, _ := p.Doc.Part("F1")
		a := f1.Figure("rating_a")
		if !a.Known() {
			p.Unchecked("F1", "rating_a is not known")
			return
		}
		if a.Value <= 100 {
			return
		}
		v := components.Num(propose)
		if propose == 0 {
			v = components.Unknown
		}
		p.Report(rules.Finding{At: "F1", Message: fmt.Sprintf("F1 is rated %g A", a.Value),
			Fixes: []rules.Fix{{Title: "Fit another", Edits: []components.Edit{components.Set{On: "F1", Key: "rating_a", Value: v}}}}})
	}}
}

// below is a danger under 50 A.
var below = &rules.Rule{ID: "test.below", Level: rules.Danger, Check: func(p *rules.Pass) {
	if f1, _ := p.Doc.Part("F1"); f1.Figure("rating_a").Known() && f1.Figure("rating_a").Value < 50 {
		p.Report(rules.Finding{At: "F1", Message: "F1 is small"})
	}
}}

func run(t *testing.T, rating, comment, fixed string, propose float64) []string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "test.above.yaml")
	require.NoError(t, os.WriteFile(path, fmt.Appendf(nil, rig, rating, comment), 0o644))
	if fixed != "" {
		require.NoError(t, os.WriteFile(path[:len(path)-len(".yaml")]+".fixed.yaml", fmt.Appendf(nil, rig, fixed, ""), 0o644))
	}
	var h heard
	rulestest.File(&h, path, []*rules.Rule{above(propose), below})
	return h.lines
}

// The runner itself: what it lets pass, and each thing that it must not.
func TestRunner(t *testing.T) {
	const want = ` # want test.above "rated 200 A"`
	for _, row := range []struct {
		name, rating, comment, fixed string
		propose                      float64
		says                         string // "" is content
	}{
		{"as wanted", "200", want, "80", 80, ""},
		{"not wanted", "200", "", "80", 80, "not wanted: violation test.above at F1"},
		{"missing", "80", want, "80", 80, "missing: test.above at F1"},
		{"other words", "200", ` # want test.above "rated 300 A"`, "80", 80, "missing: test.above"},
		{"twice wanted, once said", "200", want + ` want test.above "rated"`, "80", 80, "missing: test.above"},
		{"a repair leaves it", "200", want, "80", 150, "leaves standing: F1 is rated 150 A"},
		{"a repair brings a danger", "200", want, "80", 20, "brings a new danger: test.below at F1"},
		{"a repair hides it", "200", want, "80", 0, "only hides it: rating_a is not known"},
		{"put right and still", "200", want, "200", 80, "put right, and still: violation test.above"},
		{"put right and dangerous", "200", want, "20", 80, "put right, and still: danger test.below"},
		{"put right and unknown", "200", want, "unknown", 80, "put right, and not checked: test.above"},
		{"nothing put right", "200", want, "", 80, "test.above.fixed.yaml: no such file"},
		{"a want without words", "200", " # want test.above", "80", 80, `want # want RULE "regexp" beside an id`},
		{"a want that is no regexp", "200", ` # want test.above "("`, "80", 80, "missing closing )"},
		{"a file that does not read", "many", want, "80", 80, "rating_a"},
	} {
		t.Run(row.name, func(t *testing.T) {
			got := run(t, row.rating, row.comment, row.fixed, row.propose)
			if row.says == "" {
				assert.Empty(t, got)
				return
			}
			require.NotEmpty(t, got)
			assert.Contains(t, fmt.Sprint(got), row.says)
		})
	}
}

// Every rig of testdata/rules, against the whole book; every rule of the book has
// a rig that it must speak of.
func TestRules(t *testing.T) {
	files, err := rulestest.Files("../../testdata/rules")
	require.NoError(t, err)
	covered := map[string]bool{}
	for _, path := range files {
		t.Run(filepath.Base(path), func(t *testing.T) {
			for _, rule := range rulestest.File(t, path, checks.All) {
				covered[rule] = true
			}
		})
	}
	for _, r := range checks.All {
		if r == checks.Unsolved {
			continue // it has no repair, so no pair of rigs: testdata/script/unsolved.txtar is its story
		}
		assert.Truef(t, covered[r.ID], "no rig wants %s", r.ID)
	}
}
