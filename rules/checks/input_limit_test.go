package checks_test

import (
	"context"
	"fmt"
	"math/rand"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/checks"
)

// A charger whose input limit is the rating of the breaker ahead fills up to just that:
// the verdict is the same whatever the last digits of a cable's length leave, and from
// which solution the next one began.
func TestALimitAtTheBreakersRatingIsNoKnifeEdge(t *testing.T) {
	doc := load(t, "../../testdata/topologies/t02.yaml")
	doc, err := doc.Apply(components.Set{On: "INV1", Key: "input_limit_a", Value: components.Num(30)})
	require.NoError(t, err)
	last, err := rules.Check(context.Background(), doc, checks.All)
	require.NoError(t, err)
	said := func(r *rules.Report) (ids []string) {
		for _, f := range r.All() {
			if f.At == "CB1" {
				ids = append(ids, f.Rule.ID)
			}
		}
		slices.Sort(ids)
		return ids
	}
	want := said(last)
	assert.Contains(t, want, "overcurrent.rating-above-continuous", "210.20(A): 125 % of what runs for hours")
	for i := range 40 {
		edits := []components.Edit{}
		for _, id := range []components.ID{"W1", "W2", "W21", "W26"} {
			edits = append(edits, components.Set{On: id, Key: "length_ft", Value: components.Num(3 + 0.1*float64(i))})
		}
		doc, err = doc.Apply(edits...)
		require.NoError(t, err)
		next, err := rules.CheckNext(context.Background(), last, doc, checks.All)
		require.NoError(t, err)
		anew, err := rules.Check(context.Background(), doc, checks.All)
		require.NoError(t, err)
		assert.Equal(t, want, said(next), "after an edit, step %d", i)
		assert.Equal(t, want, said(anew), "anew, step %d", i)
		last = next
	}
}

// Every sound rig whose charger may fill up to a limit, at the limits that are ratings of
// breakers, cords and adapters, with loads and lengths at random: what an edit brings is
// what a check anew says, though each solution begins elsewhere.
func TestWhatALimitFillsUpIsJudgedAsAnew(t *testing.T) {
	rnd := rand.New(rand.NewSource(31))
	limits, steps := []float64{15, 16, 20, 24, 30, 50}, 4
	if testing.Short() {
		limits, steps = limits[3:5], 2
	}
	tried := 0
	for _, s := range soundRigs(t) {
		i := slices.IndexFunc(s.doc.Parts(), func(p components.Part) bool { return p.Kind == &components.InverterCharger })
		if i < 0 {
			continue
		}
		for _, limit := range limits {
			doc, err := s.doc.Apply(components.Set{On: s.doc.Parts()[i].ID, Key: "input_limit_a", Value: components.Num(limit)})
			require.NoError(t, err)
			last, err := rules.Check(context.Background(), doc, checks.All)
			require.NoError(t, err)
			for range steps {
				doc, err = doc.Apply(shaken(doc, rnd)...)
				require.NoError(t, err)
				next, err := rules.CheckNext(context.Background(), last, doc, checks.All)
				require.NoError(t, err)
				anew, err := rules.Check(context.Background(), doc, checks.All)
				require.NoError(t, err)
				assert.Equal(t, verdicts(anew), verdicts(next), "%s at %g A", s.name, limit)
				last = next
				tried++
			}
		}
	}
	assert.Greater(t, tried, 20)
}

// shaken gives a part of the runs other lengths and a part of the AC loads other powers.
func shaken(doc *components.Document, rnd *rand.Rand) (edits []components.Edit) {
	for _, r := range doc.Runs() {
		if rnd.Intn(3) == 0 {
			edits = append(edits, components.Set{On: r.ID, Key: "length_ft", Value: components.Num(0.1 * float64(1+rnd.Intn(100)))})
		}
	}
	for _, p := range doc.Parts() {
		if p.Kind == &components.ACLoad && rnd.Intn(3) == 0 {
			edits = append(edits, components.Set{On: p.ID, Key: "va", Value: components.Num(float64(100 * rnd.Intn(30)))})
		}
	}
	return edits
}

// verdicts are the findings of a report by rule, place and level.
func verdicts(r *rules.Report) (all []string) {
	for _, f := range r.All() {
		all = append(all, fmt.Sprintf("%s %s %v", f.Rule.ID, f.At, f.Level))
	}
	slices.Sort(all)
	return all
}
