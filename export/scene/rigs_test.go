package scene

import (
	"testing"

	"github.com/stretchr/testify/require"

	"rigline/components"
)

// rig is a document in the making.
type rig struct {
	tb    testing.TB
	doc   *components.Document
	edits []components.Edit
}

func newRig(tb testing.TB, title string) *rig {
	return &rig{tb: tb, doc: components.NewDocument(title)}
}

func (r *rig) part(kind string, id components.ID, x, y int, name string, spec components.Spec) *components.Part {
	k, ok := components.FindKind(kind)
	require.True(r.tb, ok, kind)
	e := components.AddPart{Part: components.Part{ID: id, Kind: k, Name: name, At: components.Point{X: x, Y: y}, Spec: spec}}
	r.edits = append(r.edits, e)
	return &e.Part
}

func (r *rig) run(id components.ID, from, to string, spec components.Spec, path ...components.Point) {
	a, err := components.ParsePortRef(from)
	require.NoError(r.tb, err)
	b, err := components.ParsePortRef(to)
	require.NoError(r.tb, err)
	r.edits = append(r.edits, components.AddRun{Run: components.Run{ID: id, From: a, To: b, Path: path, Spec: spec}})
}

func (r *rig) document() *components.Document {
	doc, err := r.doc.Apply(r.edits...)
	require.NoError(r.tb, err)
	return doc
}

func amount(v float64) components.Value { return components.Num(v) }
func str(v string) components.Value     { return components.Str(v) }

func wire(size string, feet float64) components.Spec {
	return components.Spec{"size": str(size), "length_ft": amount(feet)}
}

// lamp is a battery, a fuse and a lamp.
func lamp(tb testing.TB) *components.Document {
	r := newRig(tb, "Lamp")
	r.part("battery", "BAT1", 120, 160, "Bench battery", components.Spec{"chemistry": str("lfp"), "nominal_v": amount(12.8), "capacity_ah": amount(20)})
	r.part("fuse", "F1", 200, 100, "", components.Spec{"family": str("blade-atc"), "rating_a": amount(5)})
	r.part("dc-load", "DL1", 360, 100, "Lamp", components.Spec{"a": amount(2)})
	r.run("W1", "BAT1.pos", "F1.line", wire("14 AWG", 0.5))
	r.run("W2", "F1.load", "DL1.in", wire("14 AWG", 6))
	r.run("W3", "BAT1.neg", "DL1.in", components.Spec{"size": components.Unknown})
	return r.document()
}
