package checks_test

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
	"rigline/rules"
	"rigline/rules/checks"
)

func check(t *testing.T, doc *components.Document) *rules.Report {
	t.Helper()
	r, err := rules.Check(context.Background(), doc, checks.All)
	require.NoError(t, err)
	return r
}

func load(t *testing.T, path string) *components.Document {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	doc, _, err := projects.Read(path, data)
	require.NoError(t, err)
	return doc
}

type sound struct {
	name string
	doc  *components.Document
}

// soundRigs are the samples, the fifteen topologies and rigs made up for the tests.
func soundRigs(t *testing.T) []sound {
	var all []sound
	for _, s := range projects.Samples() {
		all = append(all, sound{s.Name, s.Document()})
	}
	for _, folder := range []string{"topologies", "rigs"} {
		files, err := filepath.Glob("../../testdata/" + folder + "/*.yaml")
		require.NoError(t, err)
		require.NotEmpty(t, files)
		for _, f := range files {
			all = append(all, sound{strings.TrimSuffix(filepath.Base(f), ".yaml"), load(t, f)})
		}
	}
	return all
}

// names tells whether a report names the mistake at one of its places, with a
// danger, a violation or advice that the sound rig does not have.
func named(before, after *rules.Report, m mistake, places []string) bool {
	for _, f := range after.All() {
		if !slices.Contains(m.want, f.Rule.ID) || !slices.ContainsFunc(owners(f.Addresses()), func(a string) bool { return slices.Contains(places, a) }) {
			continue
		}
		if !slices.ContainsFunc(before.All(), func(g rules.Finding) bool { return g.Rule == f.Rule && g.At == f.At && g.Message == f.Message }) {
			return true
		}
	}
	return false
}

// unplanted are the rules that no planted mistake is named by, with the reason.
var unplanted = map[string]string{
	"overcurrent.main-aic-by-cca":     "overcurrent.interrupting-rating has the figures of every sound rig's bank, and speaks in its place",
	"conductor.engine-space-derating": "speaks between 85 and 100 % of what a lead carries, and no sound rig's lead is loaded so far",
	"conductor.bundle-derating":       "below 50 V for leads loaded above half alone: three sound rigs have one",
	"inlet.230v-inlet-and-isolator":   "of the 230 V set, which has one sound rig",
	"gfci.rcd-230v":                   "of the 230 V set, which has one sound rig",
}

// MISTAKES.md tells which mistake was planted in which rig and named there.
// -update writes it. Every mistake is named wherever it was planted, and each is
// planted in at least five rigs, by its row: a rank may have several.
func TestRankedMistakesAreNamed(t *testing.T) {
	const file = "../MISTAKES.md"
	rigs := soundRigs(t)
	before := map[string]*rules.Report{}
	for _, s := range rigs {
		before[s.name] = check(t, s.doc)
	}
	var b bytes.Buffer
	fmt.Fprintf(&b, "# Mistakes planted in sound rigs\n\nWritten by the tests; do not edit. A mark stands where the mistake was planted and named at its place; a dash where the rig has no place for it. The rank is a judgement of harm and frequency (common practice, no source).\n\n| rank | mistake | rules |")
	for _, s := range rigs {
		fmt.Fprintf(&b, " %s |", s.name)
	}
	fmt.Fprintf(&b, "\n|--|--|--|%s\n", strings.Repeat("--|", len(rigs)))
	speaks := map[string]bool{}
	for _, m := range mistakes {
		if !inTheBook(m) {
			t.Errorf("no rule of %q is in the book: %v", m.name, m.want)
			continue
		}
		used, planted := map[string]bool{}, 0
		var cells []string
		for _, s := range rigs {
			cell := "–"
			r := &rig{s.doc, rand.New(rand.NewPCG(1, 2))}
			if places := m.plant(r); places != nil {
				after := check(t, r.doc)
				if named(before[s.name], after, m, places) {
					cell = "●"
					planted++
					for _, f := range after.All() {
						if slices.Contains(m.want, f.Rule.ID) {
							used[f.Rule.ID] = true
						}
					}
				} else {
					cell = "missed"
					t.Errorf("%s, planted in %s at %s, is not named by %s: %s", m.name, s.name, strings.Join(places[:min(3, len(places))], ", "), strings.Join(m.want, ", "), heard(after))
				}
			}
			cells = append(cells, cell)
		}
		if planted < 5 {
			t.Errorf("%q is planted and named in %d rigs, and five are wanted", m.name, planted)
		}
		rank := ""
		if m.rank > 0 {
			rank = fmt.Sprint(m.rank)
		}
		var rulesUsed []string
		for id := range used {
			rulesUsed = append(rulesUsed, id)
			speaks[id] = true
		}
		slices.Sort(rulesUsed)
		fmt.Fprintf(&b, "| %s | %s | %s | %s |\n", rank, m.name, strings.Join(rulesUsed, ", "), strings.Join(cells, " | "))
	}
	for _, r := range checks.All {
		assert.NotEqual(t, speaks[r.ID], unplanted[r.ID] != "", "%s: a mistake that it names, or the reason why none is planted", r.ID)
	}
	for rank := 1; rank <= 40; rank++ {
		assert.True(t, slices.ContainsFunc(mistakes, func(m mistake) bool { return m.rank == rank }), "rank %d has no mistake", rank)
	}
	if flag.Lookup("update").Value.String() == "true" {
		require.NoError(t, os.WriteFile(file, b.Bytes(), 0o644))
	}
	have, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.True(t, b.String() == string(have), "rules/MISTAKES.md is stale: run this test with -update")
}

// heard is what was told instead.
func heard(r *rules.Report) string {
	var all []string
	for _, f := range r.All() {
		all = append(all, f.Rule.ID+"@"+f.At)
	}
	for _, f := range r.Unchecked {
		all = append(all, "?"+f.Rule.ID+"@"+f.At)
	}
	return strings.Join(all, " ")
}

// A random mistake in a random sound rig, at a random place, two thousand times:
// each is named where it was planted. The rigs' runs are shortened at random, which
// leaves a sound rig sound.
func TestRandomMistakesAreNamed(t *testing.T) {
	count := 2000
	if testing.Short() {
		count = 200
	}
	require.GreaterOrEqual(t, len(mistakes), 60)
	rigs := soundRigs(t)
	rng := rand.New(rand.NewPCG(2026, 11))
	tried, missed := 0, map[string]int{}
	for tried < count {
		s := rigs[rng.IntN(len(rigs))]
		m := mistakes[rng.IntN(len(mistakes))]
		doc := shortened(s.doc, rng)
		r := &rig{doc, rng}
		places := m.plant(r)
		if places == nil || !inTheBook(m) {
			continue
		}
		tried++
		after := check(t, r.doc)
		if !named(&rules.Report{}, after, m, places) {
			missed[m.name]++
			if missed[m.name] == 1 {
				t.Errorf("%s, planted in %s at %s, is not named: %s", m.name, s.name, strings.Join(places[:min(3, len(places))], ", "), heard(after))
			}
		}
	}
	t.Logf("%d planted, missed: %v", tried, missed)
}

// shortened cuts up to a third off runs, apart from those whose length a rule
// compares with another's.
func shortened(doc *components.Document, rng *rand.Rand) *components.Document {
	var edits []components.Edit
	for _, run := range doc.Runs() {
		from, _ := doc.Part(run.From.Part)
		if f := run.Figure("length_ft"); f.Known() && kindIs(from, &components.Panel, &components.DCPanel) {
			edits = append(edits, set(run.ID, "length_ft", components.Num(math.Round(f.Value*(1-rng.Float64()/3)*10)/10)))
		}
	}
	next, err := doc.Apply(edits...)
	if err != nil {
		return doc
	}
	return next
}

// inTheBook tells whether a rule for the mistake is in the book.
func inTheBook(m mistake) bool {
	return slices.ContainsFunc(checks.All, func(r *rules.Rule) bool { return slices.Contains(m.want, r.ID) })
}
