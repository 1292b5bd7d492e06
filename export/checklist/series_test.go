package checklist

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/solved"
	"rigline/projects"
)

// inSeries is two unlike blocks drawn one above the other on an inverter that could
// charge them with more than they take, and two arrays one above the other.
const inSeries = `format: rigline/1
title: Two blocks in series
parts:
  - {id: BAT1, kind: battery, name: Upper, at: [100, 100], spec: {chemistry: lfp, nominal_v: 12.8, capacity_ah: 100, charge_a: 50, discharge_a: 100, min_charge_c: 0}}
  - {id: BAT2, kind: battery, name: Lower, at: [100, 300], spec: {chemistry: lfp, nominal_v: 12.8, capacity_ah: 100, charge_a: 40, discharge_a: 80, min_charge_c: 5}}
  - {id: F1, kind: fuse, at: [240, 40], spec: {family: class-t, rating_a: 150}}
  - {id: SHT1, kind: shunt, at: [240, 400], spec: {rating_a: 300}}
  - {id: INV1, kind: inverter-charger, at: [500, 200], spec: {continuous_va: 2000, relay_a: 30, dc_v: 24, charge_a: 60, efficiency: 0.9, idle_w: 20}}
  - {id: LD1, kind: ac-load, name: Kettle, at: [700, 200], spec: {va: 1000}}
  - {id: SH1, kind: shore, at: [300, 600], spec: {service: 30a-120}}
  - {id: PV1, kind: solar-array, at: [100, 800], spec: {series: 1, parallel: 1, voc_v: 22, vmp_v: 18, isc_a: 6, imp_a: 5.5, voc_pct_per_c: -0.3, coldest_c: -20}}
  - {id: PV2, kind: solar-array, at: [100, 1000], spec: {series: 1, parallel: 1, voc_v: 24, vmp_v: 20, isc_a: 6, imp_a: 5.5, voc_pct_per_c: -0.3, coldest_c: -20}}
  - {id: CC1, kind: solar-controller, at: [400, 900], spec: {output_a: 20, max_pv_v: 100}}
runs:
  - {id: W1, from: BAT1.pos, to: F1.line, size: 2 AWG, cable: battery-105, length_ft: 1}
  - {id: W2, from: F1.load, to: INV1.dc, cores: ["+"], size: 2 AWG, cable: battery-105, length_ft: 4}
  - {id: W3, from: BAT1.neg, to: BAT2.pos, cores: ["->+"], size: 2 AWG, cable: battery-105, length_ft: 1}
  - {id: W4, from: BAT2.neg, to: SHT1.battery, size: 2 AWG, cable: battery-105, length_ft: 1}
  - {id: W5, from: SHT1.system, to: INV1.dc, cores: ["-"], size: 2 AWG, cable: battery-105, length_ft: 4}
  - {id: W6, from: INV1.ac-out, to: LD1.in, size: 12 AWG, cable: nm-b, length_ft: 10}
  - {id: W7, from: SH1.out, to: INV1.ac-in, size: 10 AWG, cable: cord-soow, length_ft: 10}
  - {id: W8, from: PV1.out, to: CC1.pv, cores: ["+"], size: 10 AWG, cable: pv-90, length_ft: 10}
  - {id: W9, from: PV1.out, to: PV2.out, cores: ["->+"], size: 10 AWG, cable: pv-90, length_ft: 2}
  - {id: W10, from: PV2.out, to: CC1.pv, cores: ["-"], size: 10 AWG, cable: pv-90, length_ft: 10}
`

// Blocks drawn one by one are read each and as a string, and the string's figures are
// those of its weakest block.
func TestStringBlockByBlock(t *testing.T) {
	all := Items(solved.Of(read(t, inSeries)))
	for _, want := range []struct{ key, expects string }{
		// Rested LFP, half full 3.309 V a cell, 90 % 3.35 V: four, and eight, ± 2 %.
		{"D02/BAT1", "12.9 to 13.7 V"},
		{"D02/BAT2", "12.9 to 13.7 V"},
		{"D02/BAT1.string", "25.9 to 27.4 V"},
		{"B16/INV1", "25.1 to 28.2 V"}, // the whole string, ± 5 %
		{"D01/INV1", "at most 2.56 V"}, // a tenth of 25.6 V
		{"S14/INV1", "32 to 42 A"},     // 60 A set to BAT2's 40 A, − 20 % and + 5 %
		{"L09/INV1", "at most 80 A"},   // BAT2's
		{"L12/BAT1", "92 to 108 Ah"},   // one string of 100 Ah
		{"P01/PV1", "38.4 to 53.8 V"},  // 46 V × (1 − 0.12) × 0.95 to 46 V × 1.135 × 1.03
	} {
		i, ok := Find(all, want.key)
		require.True(t, ok, want.key)
		assert.Equal(t, want.expects, i.Expect.String(), "%s: %v", want.key, i.Expect.Working)
	}
	drop, ok := Find(all, "L02/INV1")
	require.True(t, ok)
	assert.Equal(t, "posts of BAT1 + BAT2 in series less DC studs of INV1, same instant", drop.Points)
	assert.Less(t, drop.Expect.Hi, 0.3, "the drop of the loop, not the lower block")
	assert.Positive(t, drop.Expect.Figure)
	for _, none := range []string{"D02/BAT2.string", "B17/BAT2", "L12/BAT2", "P01/PV2"} {
		_, ok := Find(all, none)
		assert.False(t, ok, "%s stands within a string", none)
	}
}

func everyRig(t *testing.T) map[string]*components.Document {
	t.Helper()
	rigs := map[string]*components.Document{}
	for _, s := range append(append(projects.Samples(), projects.BrokenSamples()...), projects.Starts()...) {
		rigs[s.Name] = s.Document()
	}
	files, err := filepath.Glob("../../testdata/topologies/*.yaml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, f := range files {
		data, err := os.ReadFile(f)
		require.NoError(t, err)
		rigs[f] = read(t, string(data))
	}
	return rigs
}

// What is tried on the inverter alone is alive there.
func TestOnTheInverterOnlyWhatItFeeds(t *testing.T) {
	count := 0
	for name, doc := range everyRig(t) {
		all := Items(solved.Of(doc))
		for _, i := range all {
			if i.ID != "I07" && i.ID != "L08" {
				continue
			}
			count++
			if live, ok := Find(all, "I05/"+i.Place); ok {
				assert.NotEqual(t, "dead", live.Expect.Found, "%s %s", name, i.Key())
			}
		}
	}
	assert.Greater(t, count, 20)
}

// A load behind a step-down is measured from the step-down's output.
func TestDropBehindAStepDown(t *testing.T) {
	for _, s := range projects.Samples() {
		if s.Name != "clinic-trailer" {
			continue
		}
		i, ok := Find(Items(solved.Of(s.Document())), "D05/DL1")
		require.True(t, ok)
		assert.Equal(t, "output of SD1 less the load's own terminals, all DC loads running", i.Points)
		assert.Contains(t, i.Do, "read that output and the load")
		// 14 AWG, 14 ft, 6.3 A: 0.55 V, and 4 ft of 6 AWG with both loads on, 0.06 V.
		assert.InDelta(t, 0.61, i.Expect.Figure, 0.01)
		assert.Equal(t, "at most 0.81 V", i.Expect.String())
		return
	}
	t.Fatal("no such sample")
}

// What has no charger is not expected to charge.
func TestOnlyChargersCharge(t *testing.T) {
	data, err := os.ReadFile("../../testdata/topologies/t15.yaml")
	require.NoError(t, err)
	all := Items(solved.Of(read(t, string(data))))
	for _, id := range []string{"S13", "S14"} {
		_, ok := Find(all, id+"/INV1")
		assert.True(t, ok)
		_, ok = Find(all, id+"/INV2")
		assert.False(t, ok, "%s: INV2 is told to have none", id)
	}
}
