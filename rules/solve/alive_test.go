package solve

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"rigline/components"
)

// A return that carries a trace of current is alive though no source feeds it, a
// ground beside it is told apart, and what hangs behind an open device is dead.
func TestAliveAndPeaks(t *testing.T) {
	s := &sketch{t: t}
	s.part("BAT1", &components.Battery, components.Spec{"chemistry": str("lfp"), "nominal_v": num(12.8), "capacity_ah": num(100)})
	s.part("DL1", &components.DCLoad, components.Spec{"a": num(0.02)})
	s.part("DL2", &components.DCLoad, components.Spec{"a": num(5)})
	s.run("W1", "BAT1.pos", "DL1.in", "12 AWG", 5, "+")
	s.run("W2", "BAT1.neg", "DL1.in", "12 AWG", 5, "-")
	sol := solved(t, s.circuit(components.State{Name: "Off grid", SoC: 0.5}))
	alive := sol.Alive()
	for id, want := range map[components.ID]bool{"BAT1": true, "DL1": true, "W1": true, "W2": true, "DL2": false} {
		assert.Equal(t, want, alive[id], id)
	}
	peaks := sol.Peaks()
	assert.InEpsilon(t, 0.0182, peaks["W2"].Amps, 0.1, "0.02 A at 12 V is the same power at the bank's own voltage")
	assert.InEpsilon(t, 13.2, peaks["W1"].Volts, 0.05)
	assert.Zero(t, peaks["W2"].Volts)
}
