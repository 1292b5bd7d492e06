package solve

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
	"rigline/rules/circuit"
)

// An inverter that passes shore and has no charger is solved whatever its input limit
// is set to: no share of no current is asked for.
func TestInputLimitWithoutACharger(t *testing.T) {
	doc, _, err := projects.Read("rig.yaml", []byte(`format: rigline/1
title: No charger
parts:
  - {id: BAT1, kind: battery, at: [100, 100], spec: {chemistry: lfp, nominal_v: 12.8, capacity_ah: 100}}
  - {id: INV1, kind: inverter-charger, at: [500, 200], spec: {continuous_va: 1000, relay_a: 15, dc_v: 12.8, charge_a: 0, input_limit_a: 1, boost: false}}
  - {id: LD1, kind: ac-load, at: [700, 200], spec: {va: 240}}
  - {id: SH1, kind: shore, at: [300, 600], spec: {service: 30a-120}}
runs:
  - {id: W1, from: BAT1.pos, to: INV1.dc, cores: ["+"], size: 2 AWG, cable: battery-105, length_ft: 4}
  - {id: W2, from: BAT1.neg, to: INV1.dc, cores: ["-"], size: 2 AWG, cable: battery-105, length_ft: 4}
  - {id: W3, from: INV1.ac-out, to: LD1.in, size: 12 AWG, cable: nm-b, length_ft: 10}
  - {id: W4, from: SH1.out, to: INV1.ac-in, size: 10 AWG, cable: cord-soow, length_ft: 10}
`))
	require.NoError(t, err)
	for _, boost := range []bool{false, true} {
		next, err := doc.Apply(components.Set{On: "INV1", Key: "boost", Value: components.Yes(boost)})
		require.NoError(t, err)
		s := Solve(circuit.Build(next, components.State{Name: "shore", Shore: "30a-120", SoC: 0.5}))
		require.Nil(t, s.Failure, "boost %v", boost)
		bank := s.Flows["BAT1"].DCAmps
		if boost { // 240 VA less 1 A from the site: some 120 W from the bank, at 0.9 of efficiency
			assert.InDelta(t, -10.2, bank, 1)
		} else {
			assert.InDelta(t, 0, bank, 1e-6)
		}
	}
}
