package session

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/rules"
)

// Four batteries that lead to a bar with no fuse are repaired in one step, and taken
// back in one.
func TestRepairsAtManyPlacesAreOneStep(t *testing.T) {
	b := newBench(t)
	var edits []components.Edit
	add := func(p components.Part) { edits = append(edits, components.AddPart{Part: p}) }
	run := func(id, from, to components.ID, port string) {
		edits = append(edits, components.AddRun{Run: components.Run{ID: id, From: components.PortRef{Part: from, Port: port}, To: components.PortRef{Part: to, Port: "bar"}}})
	}
	add(components.Part{ID: "BUS1", Kind: &components.Busbar, At: components.Point{X: 400, Y: 200}})
	add(components.Part{ID: "BUS2", Kind: &components.Busbar, At: components.Point{X: 400, Y: 600}, Spec: components.Spec{"pole": components.Str("-")}})
	for i, id := range []components.ID{"BAT1", "BAT2", "BAT3", "BAT4"} {
		add(components.Part{ID: id, Kind: &components.Battery, At: components.Point{X: 200 + 200*i, Y: 400}, Spec: components.Spec{
			"chemistry": components.Str("lfp"), "nominal_v": components.Num(12.8), "capacity_ah": components.Num(100)}})
		run("W"+id[3:], id, "BUS1", "pos")
		run("W1"+id[3:], id, "BUS2", "neg")
	}
	require.NoError(t, b.Do("Draw", edits...))
	b.settle()
	bare := func() (places []rules.Finding) {
		report, current := b.Report()
		require.True(t, current)
		for _, f := range report.Findings {
			if f.Rule.ID == "overcurrent.battery-unfused" {
				places = append(places, f)
			}
		}
		return places
	}
	require.Len(t, bare(), 4)
	before := b.Doc()
	b.RepairEach(bare())
	b.await(func() bool { return b.Doc() != before })
	b.settle()
	assert.Empty(t, bare())
	fuses := 0
	for _, p := range b.Doc().Parts() {
		if p.Kind == &components.Fuse {
			fuses++
		}
	}
	assert.Equal(t, 4, fuses)
	b.Undo()
	assert.Same(t, before, b.Doc(), "it is one step")
}

// What was drawn meanwhile stays, and the person is told.
func TestRepairsOfAnOlderRigAreDropped(t *testing.T) {
	b := newBench(t)
	before := b.Doc()
	require.NoError(t, b.Do("Draw", components.AddPart{Part: components.Part{ID: "BAT9", Kind: &components.Battery}}))
	now := b.Doc()
	b.mended(before, &rules.Rule{Title: "t"}, 4, nil, nil)
	assert.Same(t, now, b.Doc())
	assert.Contains(t, b.Told().Text, "changed meanwhile")
}
