package checks_test

import (
	"context"
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
