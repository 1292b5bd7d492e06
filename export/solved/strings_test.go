package solved

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
)

const pair = `format: rigline/1
title: Two blocks in series
parts:
  - {id: BAT1, kind: battery, at: [100, 100], spec: {chemistry: lfp, nominal_v: 12.8, capacity_ah: 100, parallel: 2, discharge_a: 100}}
  - {id: BAT2, kind: battery, at: [100, 300], spec: {chemistry: lfp, nominal_v: 12.8, capacity_ah: 90, parallel: 2, discharge_a: 80}}
  - {id: DL1, kind: dc-load, at: [400, 100], spec: {a: 5}}
runs:
  - {id: W1, from: BAT1.pos, to: DL1.in, cores: ["+"], size: 10 AWG, cable: primary-105, length_ft: 2}
  - {id: W2, from: BAT1.neg, to: BAT2.pos, cores: ["->+"], size: 10 AWG, cable: primary-105, length_ft: 1}
  - {id: W3, from: BAT2.neg, to: DL1.in, cores: ["-"], size: 10 AWG, cable: primary-105, length_ft: 2}
`

func TestAStringIsAsStrongAsItsWeakest(t *testing.T) {
	doc, _, err := projects.Read("rig.yaml", []byte(pair))
	require.NoError(t, err)
	st := Of(doc).States[0]
	load, ok := st.Circuit.At("DL1", "in", components.Pos)
	require.True(t, ok)
	all := st.StringsAt(load)
	require.Len(t, all, 1, "the lower block feeds nothing by itself")
	s := all[0]
	assert.Equal(t, "BAT1 + BAT2 in series", s.Tags())
	assert.Empty(t, s.Missing)
	assert.InDelta(t, 25.6, s.Volts, 1e-9)
	assert.InDelta(t, 2, s.Blocks, 1e-9)
	amps, known := s.Least("discharge_a")
	assert.True(t, known)
	assert.InDelta(t, 160, amps, 1e-9, "two strings of BAT2's 80 A")
	_, known = s.Least("charge_a")
	assert.False(t, known)

	// None is told: what is usual for 180 Ah of its chemistry, and not told.
	limit, told, known := s.ChargeLimit()
	assert.True(t, known)
	assert.False(t, told)
	assert.InDelta(t, 180*s.Chem.ChargeRate.Usual, limit, 1e-9)

	volts, ok := s.Posts(st)
	require.True(t, ok)
	upper, ok := s.Block().Posts(st)
	require.True(t, ok)
	assert.InDelta(t, 2*upper, volts, 0.1, "both blocks, less what the joint between them loses")

	// A string of two chemistries has no figures of either.
	mixed, err := doc.Apply(components.Set{On: "BAT2", Key: "chemistry", Value: components.Str("agm")})
	require.NoError(t, err)
	p, _ := mixed.Part("BAT1")
	assert.Contains(t, StringOf(Of(mixed).States[0].Circuit, p).Missing, "differ in chemistry")
}
