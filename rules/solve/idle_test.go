package solve

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
)

// A step-down with no battery behind it holds its voltage from the first round:
// taken as a current into power loads alone it would drive them to megavolts, and
// a rig with everything on AC switched off would have no solution.
func TestStepDownHoldsItsVoltage(t *testing.T) {
	s := &sketch{t: t}
	s.part("BAT1", &components.Battery, components.Spec{"chemistry": str("lfp"), "nominal_v": num(51.2), "capacity_ah": num(100)})
	s.part("SD1", &components.DCConverter, components.Spec{"output_a": num(20), "in_v": num(51.2), "out_v": num(12.8)})
	s.part("DL1", &components.DCLoad, components.Spec{"a": num(4)})
	s.part("DL2", &components.DCLoad, components.Spec{"a": num(5)})
	s.part("BUS1", &components.Busbar, components.Spec{"rating_a": num(60)})
	s.part("BUS2", &components.Busbar, components.Spec{"rating_a": num(60), "pole": str("-")})
	s.run("W1", "BAT1.pos", "SD1.in", "10 AWG", 4, "+")
	s.run("W2", "BAT1.neg", "SD1.in", "10 AWG", 4, "-")
	s.run("W3", "SD1.out", "BUS1.bar", "10 AWG", 2)
	s.run("W4", "SD1.out", "BUS2.bar", "10 AWG", 2)
	s.run("W5", "BUS1.bar", "DL1.in", "14 AWG", 15)
	s.run("W6", "BUS2.bar", "DL1.in", "14 AWG", 15)
	s.run("W7", "BUS1.bar", "DL2.in", "14 AWG", 10)
	s.run("W8", "BUS2.bar", "DL2.in", "14 AWG", 10)
	got := Solve(s.circuit(components.State{Name: "idle", SoC: 0.5}))
	require.Nil(t, got.Failure)
	a, _ := got.Circuit.At("SD1", "out", components.Pos)
	b, _ := got.Circuit.At("SD1", "out", components.Neg)
	v, ok := got.Between(a, b)
	require.True(t, ok)
	assert.InDelta(t, 12.8, real(v), 0.05)
}
