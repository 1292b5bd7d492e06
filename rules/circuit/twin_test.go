package circuit

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
)

// What follows from a settled circuit outlives an edit that leaves it as it was, and
// no other; what follows from figures of parts outlives those of runs alone.
func TestWhatLasts(t *testing.T) {
	sample, ok := projects.FindSample("library-bus")
	require.True(t, ok)
	doc := sample.Document()
	laid := Lay(doc)
	first := func(kind *components.Kind) components.ID {
		for _, p := range doc.Parts() {
			if p.Kind == kind {
				return p.ID
			}
		}
		t.Fatalf("no %s in the sample", kind.ID)
		return ""
	}
	for _, of := range []struct {
		what          string
		edit          components.Edit
		lasts, settle bool
	}{
		{"a run's length", components.Set{On: doc.Runs()[0].ID, Key: "length_ft", Value: components.Num(7)}, true, true},
		{"a load's power", components.Set{On: first(&components.ACLoad), Key: "va", Value: components.Num(321)}, true, false},
		{"a battery's capacity", components.Set{On: first(&components.Battery), Key: "capacity_ah", Value: components.Num(321)}, true, false},
		{"a fuse's rating", components.Set{On: first(&components.Fuse), Key: "rating_a", Value: components.Num(60)}, false, false},
		{"a run taken out", components.RemoveRun{ID: doc.Runs()[0].ID}, false, false},
		{"a load to come out", components.Describe{ID: first(&components.ACLoad), Status: components.Remove}, false, false},
	} {
		next, err := doc.Apply(of.edit)
		require.NoError(t, err, of.what)
		state := doc.Operating()[0]
		type key struct{ what string }
		before := laid.In(state)
		Lasting(before, key{of.what}, func() int { return 1 })
		WhileSet(before, key{of.what}, func() int { return 1 })
		after := LayNext(laid, next).In(state)
		assert.Equal(t, of.lasts, Lasting(after, key{of.what}, func() int { return 2 }) == 1, of.what)
		assert.Equal(t, of.settle, WhileSet(after, key{of.what}, func() int { return 2 }) == 1, of.what)
	}
	changed, err := laid.In(doc.Operating()[0]).After(ExtraBond(first(&components.Panel)))
	require.NoError(t, err)
	assert.Equal(t, 3, Lasting(changed, "key", func() int { return 3 }), "a circuit that was changed keeps nothing")
}
