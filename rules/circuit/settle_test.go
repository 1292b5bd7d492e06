package circuit

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
)

// An inverter whose output comes back to its input never settles: it is left inverting,
// whatever else stands on the sheet, so that what it makes live is seen.
func TestUnsettledInverterIsLeftInverting(t *testing.T) {
	const loop = `format: rigline/1
title: "loop"
parts:
  - {id: BAT1, kind: battery, at: [0, 0], spec: {chemistry: lfp, nominal_v: 12.8, capacity_ah: 100}}
  - {id: INL1, kind: inlet, at: [0, 400], spec: {rating_a: 30}}
  - {id: INV1, kind: inverter-charger, at: [400, 200], spec: {continuous_va: 2000, dc_v: 12.8, relay_a: 30, charge_a: 50}}
%s
runs:
  - {id: W1, from: BAT1.pos, to: INV1.dc, size: 2 AWG, cable: battery-105, length_ft: 2}
  - {id: W2, from: BAT1.neg, to: INV1.dc, size: 2 AWG, cable: battery-105, length_ft: 2}
  - {id: W3, from: INL1.rig, to: INV1.ac-in, size: 10 AWG, cable: tray-90, length_ft: 2}
  - {id: W4, from: INV1.ac-out, to: INL1.rig, size: 10 AWG, cable: tray-90, length_ft: 2}
`
	const other = "  - {id: SH2, kind: shore, at: [0, 800], spec: {service: 30a-120}}\n" +
		"  - {id: TS2, kind: transfer-switch, at: [400, 800], spec: {rating_a: 30}}"
	for name, more := range map[string]string{"alone": "", "beside a switch that turns": other} {
		doc, _, err := projects.Read("loop.yaml", []byte(fmt.Sprintf(loop, more)))
		require.NoError(t, err)
		c := Lay(doc).In(components.State{Name: "Off grid", SoC: 0.5})
		assert.Equal(t, []components.ID{"INV1"}, c.Unsettled, name)
		assert.Equal(t, Inverting, c.Positions["INV1"], name)
		pin, ok := c.At("INL1", "site", components.L)
		require.True(t, ok)
		assert.True(t, c.Live(pin), "%s: the bare pins are live", name)
	}
}
