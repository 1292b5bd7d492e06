package circuit_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/rules/circuit"
)

// A carried set's cord is in while it runs, may be left in beside a site supply of its own
// inlet, and is out where only one of the two fits, and off grid; a junction in it changes
// nothing.
func TestCordOfACarriedSet(t *testing.T) {
	for _, c := range []struct {
		name                    string
		junction, shared        bool
		running, shore, offGrid int // bonds on the neutral inside the inlet
	}{
		{"an inlet of its own, with no site supply joined", false, false, 1, 0, 0},
		{"cut by a junction", true, false, 1, 0, 0},
		{"the site's inlet", false, true, 1, 1, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			doc := &components.Document{}
			edit := func(edits ...components.Edit) {
				next, err := doc.Apply(edits...)
				require.NoError(t, err)
				doc = next
			}
			part := func(id components.ID, kind *components.Kind, spec components.Spec) {
				edit(components.AddPart{Part: components.Part{ID: id, Kind: kind, Spec: spec, At: components.Point{X: 100 * len(doc.Parts()), Y: 100}}})
			}
			run := func(id components.ID, from, to string) {
				a, err := components.ParsePortRef(from)
				require.NoError(t, err)
				b, err := components.ParsePortRef(to)
				require.NoError(t, err)
				edit(components.AddRun{Run: components.Run{ID: id, From: a, To: b}})
			}
			part("GEN1", &components.Generator, components.Spec{"rating_va": components.Num(3000), "breaker_a": components.Num(30), "bonded": components.Yes(true)})
			part("SH1", &components.Shore, components.Spec{"service": components.Str("30a-120")})
			part("INL1", &components.Inlet, components.Spec{"rating_a": components.Num(30)})
			if c.junction {
				part("J1", &components.Splice, nil)
				run("W1", "GEN1.out", "J1.a")
				run("W2", "J1.b", "INL1.site")
			} else {
				run("W1", "GEN1.out", "INL1.site")
			}
			if c.shared {
				run("W3", "SH1.out", "INL1.site")
			}
			bonds := func(s components.State) int {
				c := circuit.Build(doc, s)
				n := 0
				inside, ok := c.At("INL1", "rig", components.N)
				require.True(t, ok)
				for _, l := range c.Links {
					if l.Bond && l.Closed && (c.Net(l.A) == c.Net(inside) || c.Net(l.B) == c.Net(inside)) {
						n++
					}
				}
				return n
			}
			assert.Equal(t, c.running, bonds(components.State{Generator: true}), "running")
			assert.Equal(t, c.shore, bonds(components.State{Shore: "30a-120"}), "beside the site's supply")
			assert.Equal(t, c.offGrid, bonds(components.State{}), "off grid")
		})
	}
}
