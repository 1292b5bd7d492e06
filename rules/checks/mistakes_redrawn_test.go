package checks_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/rules"
)

// turned draws every run from its other end.
func turned(t *testing.T, doc *components.Document) *components.Document {
	t.Helper()
	var edits []components.Edit
	for _, r := range doc.Runs() {
		back := r
		back.From, back.To, back.Path, back.Cores = r.To, r.From, nil, nil
		for _, c := range doc.CoresOf(r) {
			back.Cores = append(back.Cores, components.Core{From: c.To, To: c.From})
		}
		edits = append(edits, components.RemoveRun{ID: r.ID}, components.AddRun{Run: back})
	}
	next, err := doc.Apply(edits...)
	require.NoError(t, err)
	return next
}

// inPieces puts a junction in the middle of every run but the cord of a site, where the
// poles at both ends are the same.
func inPieces(t *testing.T, doc *components.Document) *components.Document {
	t.Helper()
	var edits []components.Edit
	for i, r := range doc.Runs() {
		from, _ := doc.Part(r.From.Part)
		to, _ := doc.Part(r.To.Part)
		cores := doc.CoresOf(r)
		if r.Gone() || kindIs(from, &components.Shore) || kindIs(to, &components.Shore) || slices.ContainsFunc(cores, func(c components.Core) bool { return c.From != c.To && !(c.From.Hot() && c.To.Hot()) }) {
			continue
		}
		var poles []string
		head, tail := r, r
		head.Path, tail.Path, head.Cores, tail.Cores = nil, nil, nil, nil
		for _, c := range cores {
			poles = append(poles, string(c.From))
			head.Cores, tail.Cores = append(head.Cores, components.Core{From: c.From, To: c.From}), append(tail.Cores, c)
		}
		j := components.Part{ID: components.ID(fmt.Sprintf("J%d", 700+i)), Kind: &components.Splice, At: components.Point{X: 4000 + 40*i, Y: 4000}, Spec: components.Spec{"poles": components.Words(poles...)}}
		head.To, tail.From, tail.ID = j.Ref("a"), j.Ref("b"), components.ID(fmt.Sprintf("W%d", 700+i))
		if l := r.Figure("length_ft"); l.Known() {
			head.Spec, tail.Spec = r.Spec.With("length_ft", components.Num(l.Value/2)), r.Spec.With("length_ft", components.Num(l.Value/2))
		}
		edits = append(edits, components.RemoveRun{ID: r.ID}, components.AddPart{Part: j}, components.AddRun{Run: head}, components.AddRun{Run: tail})
	}
	next, err := doc.Apply(edits...)
	require.NoError(t, err)
	return next
}

// told is what a report says of which address, each once.
func told(r *rules.Report) []string {
	var all []string
	for _, f := range r.All() {
		all = append(all, fmt.Sprint(f.Rule.ID, " ", f.Level, " ", f.At))
	}
	for _, f := range r.Unchecked {
		all = append(all, fmt.Sprint(f.Rule.ID, " asks ", f.At))
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// plants calls judge with a random mistake in every sound rig, some times over, and first
// with each sound rig as it is.
func plants(t *testing.T, times int, judge func(name string, doc *components.Document, m mistake, places []string)) {
	rng := rand.New(rand.NewPCG(3, 6))
	for _, s := range soundRigs(t) {
		judge(s.name, s.doc, mistake{}, nil)
		for range times {
			r := &rig{s.doc, rng}
			m := mistakes[rng.IntN(len(mistakes))]
			if places := m.plant(r); places != nil {
				judge(s.name+" with "+m.name, r.doc, m, places)
			}
		}
	}
}

func often(some, many int) int {
	if testing.Short() {
		return some
	}
	return many
}

// From which end a run was drawn changes nothing that is told.
func TestFromTheOtherEnd(t *testing.T) {
	plants(t, often(3, 25), func(name string, doc *components.Document, _ mistake, _ []string) {
		assert.Equal(t, told(check(t, doc)), told(check(t, turned(t, doc))), name)
	})
}

// A junction in the middle of every run leaves a sound rig sound, and hides no mistake.
func TestRunsInPieces(t *testing.T) {
	plants(t, often(3, 25), func(name string, doc *components.Document, m mistake, places []string) {
		after := check(t, inPieces(t, doc))
		if places == nil {
			for _, f := range after.All() {
				assert.Less(t, f.Level, rules.Violation, "%s: %s at %s: %s", name, f.Rule.ID, f.At, f.Message)
			}
			return
		}
		assert.True(t, named(&rules.Report{}, after, m, places), "%s at %s: %s", name, strings.Join(places[:min(3, len(places))], ", "), heard(after))
	})
}

// A part that comes out in the retrofit, with its runs, is as if it were not there; that
// what hung on it is then fed by nothing is worse than a load that is not joined yet.
func TestWhatComesOutIsNotThere(t *testing.T) {
	places := func(r *rules.Report) []string {
		all := told(r)
		for i, line := range all {
			if strings.HasPrefix(line, "load.never-fed ") {
				all[i] = strings.Replace(line, "violation", "advice", 1)
			}
		}
		slices.Sort(all)
		return all
	}
	rng := rand.New(rand.NewPCG(8, 9))
	for _, s := range soundRigs(t) {
		for range often(3, 12) {
			q := s.doc.Parts()[rng.IntN(len(s.doc.Parts()))]
			without, err := s.doc.Apply(s.doc.Delete(q.ID)...)
			require.NoError(t, err)
			edits := []components.Edit{components.Describe{ID: q.ID, Name: q.Name, Status: components.Remove, Note: q.Note, Buy: q.Buy}}
			for _, r := range s.doc.RunsOf(q.ID) {
				r.Cores, r.Status = s.doc.CoresOf(r), components.Remove
				edits = append(edits, components.RemoveRun{ID: r.ID}, components.AddRun{Run: r})
			}
			removed, err := s.doc.Apply(edits...)
			require.NoError(t, err)
			assert.Equal(t, places(check(t, without)), places(check(t, removed)), "%s without %s", s.name, q.ID)
		}
	}
}
