package solve

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
	"rigline/rules/circuit"
)

// A current divides over parallel conductors as the inverse of their resistances
// (Kirchhoff), and comes together again where they do.
func TestDivideReturn(t *testing.T) {
	lay := func(extra string) (*circuit.Circuit, circuit.Term, circuit.Term) {
		doc, _, err := projects.Read("loop.yaml", []byte(`format: rigline/1
title: "loop"
parts:
  - {id: BAT1, kind: battery, at: [0, 0], spec: {chemistry: lfp, nominal_v: 12.8, capacity_ah: 100}}
  - {id: BUS1, kind: busbar, at: [200, 100], spec: {rating_a: 200, pole: "-"}}
  - {id: BUS2, kind: busbar, at: [400, 100], spec: {rating_a: 200, pole: "-"}}
  - {id: DL1, kind: dc-load, at: [600, 0], spec: {a: 10}}
runs:
  - {id: W1, from: BAT1.neg, to: BUS1.bar, size: 2 AWG, cable: battery-105, length_ft: 2}
  - {id: W2, from: BUS1.bar, to: BUS2.bar, size: 10 AWG, cable: battery-105, length_ft: 6}
  - {id: W3, from: BUS1.bar, to: BUS2.bar, size: 10 AWG, cable: battery-105, length_ft: 2}
  - {id: W4, from: BUS2.bar, to: DL1.in, size: 12 AWG, cable: battery-105, length_ft: 2}
`+extra))
		require.NoError(t, err)
		c := circuit.Lay(doc).In(components.State{Name: "s"})
		from, okFrom := c.At("DL1", "in", components.Neg)
		home, okHome := c.At("BAT1", "neg", components.Neg)
		require.True(t, okFrom && okHome)
		return c, from, home
	}
	d := DivideReturn(lay(""))
	assert.Empty(t, d.Missing)
	assert.InDelta(t, 1, d.Shares["W1"], 1e-6, "all of it before the ways part")
	assert.InDelta(t, 0.25, d.Shares["W2"], 1e-6, "2 ft ÷ (6 ft + 2 ft)")
	assert.InDelta(t, 0.75, d.Shares["W3"], 1e-6, "6 ft ÷ (6 ft + 2 ft)")
	assert.InDelta(t, 1, d.Shares["W4"], 1e-6)

	d = DivideReturn(lay("  - {id: W5, from: DL1.in, to: BAT1.neg, cores: [\"-\"], size: 12 AWG, cable: battery-105}\n"))
	assert.Equal(t, []string{"the length of W5 is not known"}, d.Missing)

	d = DivideReturn(lay("  - {id: W5, from: DL1.in, to: BUS1.bar, cores: [\"-\"], size: 10 AWG, cable: battery-105, length_ft: 1}\n"))
	assert.InDelta(t, 1, d.Shares["W1"], 1e-6)
	assert.InDelta(t, 1, d.Shares["W4"]+d.Shares["W5"], 1e-6, "Kirchhoff at DL1")
	assert.InDelta(t, d.Shares["W4"], d.Shares["W2"]+d.Shares["W3"], 1e-6, "Kirchhoff at BUS2")
}
