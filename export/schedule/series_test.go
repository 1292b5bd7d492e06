package schedule

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/cards"
	"rigline/export/lists"
	"rigline/export/solved"
	"rigline/projects"
)

const blocks = `format: rigline/1
title: Two blocks in series
parts:
  - {id: BAT1, kind: battery, at: [100, 100], spec: {chemistry: lfp, nominal_v: 12.8, capacity_ah: 100, charge_a: 50, discharge_a: 100, min_charge_c: 0}}
  - {id: BAT2, kind: battery, at: [100, 300], spec: {chemistry: lfp, nominal_v: 12.8, capacity_ah: 95, charge_a: 40, discharge_a: 80, min_charge_c: 5}}
  - {id: F1, kind: fuse, at: [240, 40], spec: {family: class-t, rating_a: 150}}
  - {id: SHT1, kind: shunt, at: [240, 400], spec: {rating_a: 300}}
  - {id: INV1, kind: inverter-charger, at: [500, 200], spec: {continuous_va: 2000, relay_a: 30, dc_v: 24, charge_a: 60}}
  - {id: SH1, kind: shore, at: [300, 600], spec: {service: 30a-120}}
runs:
  - {id: W1, from: BAT1.pos, to: F1.line, size: 2 AWG, cable: battery-105, length_ft: 1}
  - {id: W2, from: F1.load, to: INV1.dc, cores: ["+"], size: 2 AWG, cable: battery-105, length_ft: 4}
  - {id: W3, from: BAT1.neg, to: BAT2.pos, cores: ["->+"], size: 2 AWG, cable: battery-105, length_ft: 1}
  - {id: W4, from: BAT2.neg, to: SHT1.battery, size: 2 AWG, cable: battery-105, length_ft: 1}
  - {id: W5, from: SHT1.system, to: INV1.dc, cores: ["-"], size: 2 AWG, cable: battery-105, length_ft: 4}
  - {id: W7, from: SH1.out, to: INV1.ac-in, size: 10 AWG, cable: cord-soow, length_ft: 10}
`

// A string that is drawn block by block is set as one bank: at the voltage of all, and
// at the limits of its weakest block.
func TestSettingsOfAStringDrawnBlockByBlock(t *testing.T) {
	doc, _, err := projects.Read("rig.yaml", []byte(blocks))
	require.NoError(t, err)
	made := cards.Of(doc)
	is := map[string]string{}
	for _, s := range Settings(solved.Of(doc), made) {
		is[string(s.Device)+" "+s.What] = s.Value
	}
	for what, want := range map[string]string{
		"INV1 absorption voltage":  "28.8 V", // 2 × 14.4
		"INV1 float voltage":       "27 V",
		"INV1 never above":         "29.2 V", // 8 cells of 3.65 V
		"INV1 no charging below":   "5 °C",   // BAT2's
		"INV1 charge current":      "40 A",   // BAT2's
		"INV1 low-voltage cut-out": "24 V",
		"SHT1 capacity":            "95 Ah", // the smaller block, not the sum
	} {
		assert.Equal(t, want, is[what], what)
	}
	assert.Equal(t, []string{"BAT1 + BAT2 in series may take 40 A, its charge limit, while no AC load runs, with what charges set to no more: 2.4 h from empty at that rate"}, made[0].Charge)
}

// Blocks of two chemistries in one string have no profile.
func TestNoProfileForAMixedString(t *testing.T) {
	doc, _, err := projects.Read("rig.yaml", []byte(blocks))
	require.NoError(t, err)
	next, err := doc.Apply(components.Set{On: "BAT2", Key: "chemistry", Value: components.Str("agm")})
	require.NoError(t, err)
	for _, s := range Settings(solved.Of(next), nil) {
		if s.What == "absorption voltage" || s.What == "low-voltage cut-out" || s.What == "charge current" {
			assert.Equal(t, NotKnown, s.Value, s.What)
			assert.Contains(t, s.Why, "one profile cannot serve both")
		}
	}
}

// A list with nothing on it says so, and is no list that was cut off.
func TestEmptyListsSayNone(t *testing.T) {
	doc, _, err := projects.Read("rig.yaml", []byte("format: rigline/1\ntitle: Nothing\n"))
	require.NoError(t, err)
	rig := solved.Of(doc)
	for _, table := range []lists.Table{RunsTable(rig), DevicesTable(rig), PanelsTable(rig), TorqueTable(rig), SettingsTable(rig, nil), OutOfOrderTable(rig), RemovalTable(rig)} {
		var b strings.Builder
		require.NoError(t, lists.CSV(&b, table, lists.About{}))
		require.Empty(t, table.Rows, table.Name)
		assert.Contains(t, b.String(), "\nnone: ", table.Name)
	}
}

// A string drawn block by block is cut off once, and the joint between its blocks stays
// alive with them.
func TestIsolationOfAString(t *testing.T) {
	doc, _, err := projects.Read("rig.yaml", []byte(blocks))
	require.NoError(t, err)
	var do []string
	for _, s := range Isolation(solved.Of(doc)) {
		do = append(do, s.Do)
	}
	assert.Contains(t, do, "With nothing drawing, lift F1 (fuse) with an insulated tool: this cuts off BAT1 (battery), BAT2 (battery)")
	assert.Contains(t, do, "Stays live: the posts of BAT1 (battery) and BAT2 (battery), with W1 and W3, up to F1")
	assert.NotContains(t, strings.Join(do, "\n"), "lead off BAT2")
}

// The label of an array in series tells the voltage of the whole string.
func TestLabelOfArraysInSeries(t *testing.T) {
	doc, _, err := projects.Read("rig.yaml", []byte(`format: rigline/1
title: Two arrays in series
parts:
  - {id: PV1, kind: solar-array, at: [100, 800], spec: {series: 1, parallel: 1, voc_v: 22, vmp_v: 18, isc_a: 6, imp_a: 5.5, voc_pct_per_c: -0.3, coldest_c: -20}}
  - {id: PV2, kind: solar-array, at: [100, 1000], spec: {series: 2, parallel: 1, voc_v: 24, vmp_v: 20, isc_a: 6, imp_a: 5.5, voc_pct_per_c: -0.3, coldest_c: -20}}
  - {id: CC1, kind: solar-controller, at: [400, 900], spec: {output_a: 20, max_pv_v: 150}}
runs:
  - {id: W8, from: PV1.out, to: CC1.pv, cores: ["+"], size: 10 AWG, cable: pv-90, length_ft: 10}
  - {id: W9, from: PV1.out, to: PV2.out, cores: ["->+"], size: 10 AWG, cable: pv-90, length_ft: 2}
  - {id: W10, from: PV2.out, to: CC1.pv, cores: ["-"], size: 10 AWG, cable: pv-90, length_ft: 10}
`))
	require.NoError(t, err)
	found := 0
	for _, l := range Labels(solved.Of(doc)) {
		if strings.HasPrefix(l.Text, "Solar") {
			found++ // (22 + 2 × 24) V × (1 + 0.003 × 45) = 79.45 V, and never less
			assert.Contains(t, l.Text, "Up to 80 V, short circuit 6 A", l.Where)
		}
	}
	assert.Equal(t, 2, found)
}

// A monitor counts what stands on its battery side; a charger between two house banks
// waits for no engine.
func TestSettingsOfTwoBanks(t *testing.T) {
	data, err := os.ReadFile("../../testdata/topologies/t14.yaml")
	require.NoError(t, err)
	doc, _, err := projects.Read("t14.yaml", data)
	require.NoError(t, err)
	is := map[string]string{}
	for _, s := range Settings(solved.Of(doc), cards.Of(doc)) {
		is[string(s.Device)+" "+s.What] = s.Value
	}
	assert.Equal(t, "300 Ah", is["SHT1 capacity"], "the lead bank's negative comes in behind the shunt")
	assert.NotContains(t, is, "DDC1 start only with the engine running")
	assert.Equal(t, "12 V", is["DDC1 input cut-off"])
	assert.Equal(t, "14.5 V", is["DDC1 absorption voltage"], "of the lead bank that it charges")

	out := OutOfOrders(solved.Of(doc))
	require.Len(t, out, 1)
	assert.Contains(t, out[0].Steps, "While it is out nothing charges its bank: spare it", "the converter and the charger from bank to bank serve the other")

	data, err = os.ReadFile("../../testdata/topologies/t08.yaml")
	require.NoError(t, err)
	doc, _, err = projects.Read("t08.yaml", data)
	require.NoError(t, err)
	found := false
	for _, s := range Settings(solved.Of(doc), cards.Of(doc)) {
		found = found || s.What == "start only with the engine running"
	}
	assert.True(t, found)
}
