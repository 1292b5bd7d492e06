package session

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
)

// What is alike is offered the same figure, and nothing else is: not a part of another
// rating, not one that is told already, not a run to something else.
func TestAlikeIsWhatAPersonWouldTakeForTheSame(t *testing.T) {
	battery := func(id components.ID, ah float64) components.Edit {
		return components.AddPart{Part: components.Part{ID: id, Kind: &components.Battery, Spec: components.Spec{"chemistry": components.Str("lfp"), "nominal_v": components.Num(12.8), "capacity_ah": components.Num(ah)}}}
	}
	bar := components.AddPart{Part: components.Part{ID: "BUS1", Kind: &components.Busbar, Spec: components.Spec{}}}
	run := func(id, from components.ID, port, size string) components.Edit {
		return components.AddRun{Run: components.Run{ID: id, From: components.PortRef{Part: from, Port: port}, To: components.PortRef{Part: "BUS1", Port: "bar"}, Spec: components.Spec{"size": components.Str(size), "length_ft": components.Unknown}}}
	}
	doc, err := components.NewDocument("strings").Apply(battery("BAT1", 100), battery("BAT2", 100), battery("BAT3", 200), bar,
		run("W1", "BAT1", "pos", "4 AWG"), run("W2", "BAT2", "pos", "4 AWG"), run("W3", "BAT3", "pos", "4 AWG"), run("W4", "BAT2", "pos", "2 AWG"))
	require.NoError(t, err)
	s := New(func(func()) {}, nil)
	s.Start(doc)
	limit, ok := components.Battery.Field("discharge_a")
	require.True(t, ok)
	told := Lack{On: "BAT1", Field: limit}
	assert.Empty(t, s.Alike(told, nil, nil), "nothing is told yet")
	require.NoError(t, s.SetField("BAT1", limit, components.Num(100)))
	alike := s.Alike(told, nil, nil)
	require.Len(t, alike, 1)
	assert.Equal(t, components.ID("BAT2"), alike[0].On)
	assert.Empty(t, s.Alike(told, nil, alike), "what is closed is left alone")

	volts, _ := components.Battery.Field("nominal_v")
	require.NoError(t, s.TellAlike([]Likeness{{Of: told, To: alike}, {Of: Lack{On: "BAT1", Field: volts}, To: []Lack{{On: "BAT3", Field: volts}}}}))
	assert.Equal(t, "Tell 2 figures alike", s.UndoLabel())
	s.Undo()
	b2, _ := s.Doc().Part("BAT2")
	assert.False(t, b2.Spec["discharge_a"].Known(), "both are one step")

	length, _ := components.RunField("length_ft")
	require.NoError(t, s.SetField("W1", length, components.Num(3)))
	var asked []Lack
	for _, id := range []components.ID{"W2", "W3", "W4"} {
		asked = append(asked, Lack{On: id, Field: length})
	}
	alike = s.Alike(Lack{On: "W1", Field: length}, asked, nil)
	require.Len(t, alike, 1, "of W3 the battery is another, of W4 the size")
	assert.Equal(t, components.ID("W2"), alike[0].On)
	require.NoError(t, s.TellAlike([]Likeness{{Of: Lack{On: "W1", Field: length}, To: alike}}))
	w2, _ := s.Doc().Run("W2")
	assert.Equal(t, 3.0, w2.Figure("length_ft").Value)
	s.Undo()
	w2, _ = s.Doc().Run("W2")
	assert.False(t, w2.Figure("length_ft").Known(), "it is one step")
}

// Two lamps are of one kind, and yet nobody would take the current of one for the
// other's.
func TestLoadsAreNotAlike(t *testing.T) {
	b := newBench(t)
	b.place("dc-load", 200, 200)
	b.place("dc-load", 400, 200)
	amps, _ := components.DCLoad.Field("a")
	require.NoError(t, b.SetField("DL1", amps, components.Num(3)))
	assert.Empty(t, b.Alike(Lack{On: "DL1", Field: amps}, nil, nil))
}

// The fuses of two strings are alike; that of the inverter, of the same kind, is not.
func TestAFuseIsLikeThoseInTheSamePlace(t *testing.T) {
	b := newBench(t)
	for i := range 3 {
		b.place("battery", 200+200*float64(i), 600)
		b.place("fuse", 200+200*float64(i), 400)
	}
	b.place("busbar", 400, 200)
	b.place("inverter", 900, 200)
	b.connect("BAT1.pos", "F1.line")
	b.connect("F1.load", "BUS1.bar")
	b.connect("F2.line", "BUS1.bar") // drawn from its other end
	b.connect("BAT2.pos", "F2.load")
	b.connect("BUS1.bar", "F3.line")
	b.connect("F3.load", "INV1.dc")
	amps, _ := components.Fuse.Field("rating_a")
	require.NoError(t, b.SetField("F1", amps, components.Num(125)))
	alike := b.Alike(Lack{On: "F1", Field: amps}, nil, nil)
	require.Len(t, alike, 1)
	assert.Equal(t, components.ID("F2"), alike[0].On)
}
