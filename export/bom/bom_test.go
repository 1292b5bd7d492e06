package bom_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/bom"
	"rigline/projects"
)

// counted is a small rig whose list was counted by hand on paper.
const counted = `format: rigline/1
title: =SUM(A1:A9)
rig: {revision: B, date: 2026-11-25}
parts:
  - {id: BAT1, kind: battery, at: [100, 100], spec: {chemistry: lfp, nominal_v: 12.8, capacity_ah: 100, parallel: 2}, buy: {price: 640, supplier: "@local"}}
  - {id: F1, kind: fuse, at: [200, 100], spec: {family: class-t, rating_a: 225}, buy: {price: 45}}
  - {id: F2, kind: fuse, at: [300, 100], spec: {family: class-t, rating_a: 225}, buy: {price: 45}}
  - {id: BUS1, kind: busbar, at: [400, 100], spec: {rating_a: 250}}
  - {id: BUS2, kind: busbar, at: [400, 200], spec: {rating_a: 250, pole: "-"}}
  - {id: INV1, kind: inverter, at: [600, 100], spec: {continuous_va: 2000, dc_v: 12.8}}
  - {id: OLD1, kind: dc-switch, at: [700, 300], status: remove, spec: {rating_a: 100}}
  - {id: SW1, kind: dc-switch, at: [800, 300], status: existing, spec: {rating_a: 300}}
  - {id: PV1, kind: solar-array, at: [900, 300], spec: {series: unknown, parallel: 1, voc_v: 24.3, isc_a: 10.2, vmp_v: 20.4, imp_a: 9.8}}
  - {id: BJ1, kind: bond, at: [500, 300], spec: {a_pole: "-"}}
runs:
  - {id: W1, from: BAT1.pos, to: F1.line, size: 2/0 AWG, cable: battery-105, length_ft: 1, color: red}
  - {id: W2, from: F1.load, to: BUS1.bar, size: 2/0 AWG, cable: battery-105, length_ft: 4, color: red}
  - {id: W3, from: BUS1.bar, to: F2.line, size: 2/0 AWG, cable: battery-105, length_ft: 2, sets: 2, color: red}
  - {id: W4, from: F2.load, to: INV1.dc, size: 2/0 AWG, cable: battery-105, length_ft: unknown, color: red}
  - {id: W5, from: BAT1.neg, to: BUS2.bar, size: 2/0 AWG, cable: battery-105, length_ft: 10, color: black}
  - {id: W6, from: BUS2.bar, to: INV1.dc, size: unknown, cable: battery-105, length_ft: 3, color: black}
  - {id: W7, from: SW1.line, to: OLD1.line, status: existing, size: 4 AWG, cable: battery-105, length_ft: 7}
`

// rows tells the list as text, a row a line.
func told(doc *components.Document) []string {
	var lines []string
	for _, r := range bom.Rows(doc) {
		quantity := "?"
		if r.Known {
			quantity = strings.TrimSuffix(strings.TrimRight(formatted(r.Quantity), "0"), ".")
		}
		var tags []string
		for _, id := range r.For {
			tags = append(tags, string(id))
		}
		lines = append(lines, strings.Join([]string{string(r.Section), quantity + " " + r.Unit, r.Description, r.Rating, strings.Join(tags, " ")}, " | "))
	}
	return lines
}

func formatted(v float64) string { return components.Num(v).String() + ".0" }

func read(t *testing.T, text string) *components.Document {
	t.Helper()
	doc, _, err := projects.Read("rig.yaml", []byte(text))
	require.NoError(t, err)
	return doc
}

func TestRowsCountedByHand(t *testing.T) {
	want := []string{
		"equipment | 2 pc | Battery | LFP, 12.8 V, 100 Ah, 1 in series, 2 in parallel | BAT1",
		"equipment | 1 pc | Bonding jumper | negative to ground | BJ1",
		"equipment | 2 pc | Bus bar | 250 A | BUS1 BUS2",
		"equipment | 1 pc | Inverter | 2 kVA, 12.8 V DC | INV1",
		"equipment | ? pc | Solar module | Voc 24.3 V, Isc 10.2 A, Vmp 20.4 V, Imp 9.8 A, number of modules not known | PV1",
		"protection | 2 pc | Fuse | 225 A class T | F1 F2",
		"protection | 2 pc | Fuse holder | for 225 A class T | F1 F2",
		"spares | 1 pc | Fuse | 225 A class T | F1 F2",               // one for the two that are alike
		"cable | 11 ft | battery cable, 105 °C | 2/0 AWG | W5",       // 10 ft and a tenth is 11 ft, not 12
		"cable | 10 ft | battery cable, 105 °C | 2/0 AWG | W1 W2 W3", // 1 + 4 + 2·2 = 9; 9.9 → 10
		"cable | ? ft | battery cable, 105 °C | 2/0 AWG | W4",
		"cable | 4 ft | battery cable, 105 °C | size not known | W6", // 3.3 → 4
		// 2/0 over 3/8: F1 both ends (2), F2.line by two sets (2), F2.load (1).
		"lugs and terminals | 5 pc | Tinned copper lug | 2/0 AWG, 3/8 in stud | W1 W2 W3 W4",
		// 2/0 over 5/16: both posts (2), BUS1 by W2 (1) and W3's two sets (2), BUS2 by W5 (1), the inverter by W4 (1).
		"lugs and terminals | 7 pc | Tinned copper lug | 2/0 AWG, 5/16 in stud | W1 W2 W3 W4 W5",
		"lugs and terminals | 2 pc | Tinned copper lug | size not known, 5/16 in stud | W6",
		// Heat shrink is one a lug: 5 + 7, and 2.
		"heat shrink and boots | 12 pc | Adhesive-lined heat shrink, one length a lug | for 2/0 AWG | W1 W2 W3 W4 W5",
		"heat shrink and boots | 2 pc | Adhesive-lined heat shrink, one length a lug | size not known | W6",
		"heat shrink and boots | 1 pc | Terminal boot, black | for 2/0 AWG | W5", // BAT1.neg
		"heat shrink and boots | 1 pc | Terminal boot, red | for 2/0 AWG | W1",   // BAT1.pos
		// A clamp each 18 in: W1 of 1 ft none, W2 of 4 ft 2, W3 of 2 ft 1 for each of
		// its two sets, W5 of 10 ft 6; W6 of 3 ft 2; W4 cannot be told.
		"clamps, connectors, grommets | ? pc | Cushioned clamp | for 2/0 AWG | W4",
		"clamps, connectors, grommets | 10 pc | Cushioned clamp | for 2/0 AWG | W2 W3 W5",
		"clamps, connectors, grommets | 2 pc | Cushioned clamp | size not known | W6",
		"clamps, connectors, grommets | ? pc | Grommet or bushing | to fit the hole | W1 W2 W3 W4 W5 W6",
		"clamps, connectors, grommets | 1 pc | Insulating cover of a bus bar | 250 A | BUS1",
		"labels | 9 pc | Part label |  | BAT1 BJ1 BUS1 BUS2 F1 F2 INV1 PV1 SW1", // ten parts but the one that comes out
		"labels | 14 pc | Run tag, heat-shrink or wrap-around |  | W1 W2 W3 W4 W5 W6 W7",
		"kept | 7 ft | battery cable, 105 °C | 4 AWG | W7", // what is there is not bought: no waste
		"kept | 1 pc | DC disconnect | 300 A | SW1",
		"comes out | 1 pc | DC disconnect | 100 A | OLD1",
	}
	assert.Equal(t, want, told(read(t, counted)))
}

// shack is a 30 A trailer's AC side, counted by hand.
const shack = `format: rigline/1
title: AC side
parts:
  - {id: SH1, kind: shore, at: [100, 100], spec: {service: 30a-120}}
  - {id: INL1, kind: inlet, at: [200, 100], status: existing, spec: {rating_a: 30}}
  - {id: PNL1, kind: panel, at: [400, 100], spec: {bus_a: 60, main_a: 30, legs: 1, circuits: [{leg: L1, breaker_a: 20, gfci: true}, {leg: L1, breaker_a: 15}, {leg: L1, breaker_a: 15}]}}
  - {id: R1, kind: receptacle, at: [600, 100], spec: {rating_a: 20}}
  - {id: LD1, kind: ac-load, at: [600, 200], spec: {va: 600}}
  - {id: LD2, kind: ac-load, at: [600, 300], status: remove, spec: {va: 600}}
  - {id: CH1, kind: chassis, at: [600, 400]}
runs:
  - {id: W1, from: SH1.out, to: INL1.site, size: 10 AWG, cable: cord-shore, length_ft: 25}
  - {id: W2, from: INL1.rig, to: PNL1.main, size: 10 AWG, cable: nm-b, length_ft: 12}
  - {id: W3, from: PNL1.c1, to: R1.in, size: 12 AWG, cable: nm-b, length_ft: 21}
  - {id: W4, from: PNL1.c2, to: LD1.in, size: 14 AWG, cable: nm-b, length_ft: 47}
  - {id: W5, from: PNL1.c3, to: LD2.in, size: 14 AWG, cable: nm-b, length_ft: 9, status: remove}
  - {id: W6, from: PNL1.main, to: CH1.stud, cores: [G], size: 8 AWG, cable: bare-copper, length_ft: 5}
`

func TestShackCountedByHand(t *testing.T) {
	want := []string{
		"equipment | 1 pc | AC load | 600 VA | LD1",
		"equipment | 1 pc | Panel | main 30 A, 60 A bus | PNL1",
		"equipment | 1 pc | Receptacle | 20 A | R1",
		"protection | 2 pc | Panel breaker | 15 A, 1-pole | PNL1",
		"protection | 1 pc | Panel breaker, ground-fault protected | 20 A, 1-pole | PNL1",
		"protection | 1 pc | Panel breaker, main | 30 A, 1-pole | PNL1",
		"cable | 6 ft | bare copper strap or wire | 8 AWG | W6", // 5.5
		"cable | 1 pc | listed shore cord set | 10 AWG, 3 cores, 25 ft | W1",
		"cable | 14 ft | nonmetallic-sheathed cable NM-B | 10 AWG, 3 cores | W2", // 13.2
		"cable | 24 ft | nonmetallic-sheathed cable NM-B | 12 AWG, 3 cores | W3", // 23.1
		"cable | 52 ft | nonmetallic-sheathed cable NM-B | 14 AWG, 3 cores | W4", // 51.7
		"lugs and terminals | 1 pc | Tinned copper lug | 8 AWG, stud not known | W6",
		"heat shrink and boots | 1 pc | Adhesive-lined heat shrink, one length a lug | for 8 AWG | W6",
		// Both ends of W2, W3 and W4 go into a box.
		"clamps, connectors, grommets | 1 pc | Bolt with nut and star washers for a chassis stud | to fit its lugs | CH1",
		"clamps, connectors, grommets | 2 pc | Box connector with strain relief | for 10 AWG, 3 cores | W2",
		"clamps, connectors, grommets | 2 pc | Box connector with strain relief | for 12 AWG, 3 cores | W3",
		"clamps, connectors, grommets | 2 pc | Box connector with strain relief | for 14 AWG, 3 cores | W4",
		// One each 4.5 ft and two for the ends: 12 ft 2 + 2, 21 ft 4 + 2, 47 ft 10 + 2;
		// the bare 5 ft 1 + 2.
		"clamps, connectors, grommets | 3 pc | Cushioned clamp | for 8 AWG | W6",
		"clamps, connectors, grommets | 4 pc | Cushioned clamp | for 10 AWG, 3 cores | W2",
		"clamps, connectors, grommets | 6 pc | Cushioned clamp | for 12 AWG, 3 cores | W3",
		"clamps, connectors, grommets | 12 pc | Cushioned clamp | for 14 AWG, 3 cores | W4",
		"clamps, connectors, grommets | ? pc | Grommet or bushing | to fit the hole | W1 W2 W3 W4 W6",
		"labels | 5 pc | Part label |  | CH1 INL1 LD1 PNL1 R1",
		"labels | 10 pc | Run tag, heat-shrink or wrap-around |  | W1 W2 W3 W4 W6",
		"kept | 1 pc | Shore inlet | 30 A | INL1",
		"comes out | 1 pc | AC load | 600 VA | LD2",
		"comes out | 9 ft | nonmetallic-sheathed cable NM-B | 14 AWG, 3 cores | W5",
	}
	assert.Equal(t, want, told(read(t, shack)))
	sold := map[string]string{}
	for _, r := range bom.Rows(read(t, shack)) {
		if r.Section == bom.Cable {
			sold[r.Rating] = r.Sold
		}
	}
	assert.Equal(t, "one coil of 25 ft", sold["10 AWG, 3 cores"])
	assert.Equal(t, "one coil of 100 ft", sold["14 AWG, 3 cores"], "52 ft is more than a coil of 50")
}

// roof is a 48 V rig with an array, in metres, counted by hand.
const roof = `format: rigline/1
title: Roof
units: metric
parts:
  - {id: PV1, kind: solar-array, at: [100, 100], spec: {series: 2, parallel: 3, voc_v: 24, isc_a: 10, vmp_v: 20, imp_a: 9}}
  - {id: F1, kind: fuse, at: [200, 100], spec: {family: pv-gpv-10x38, rating_a: 20}}
  - {id: CC1, kind: solar-controller, at: [300, 100], spec: {max_pv_v: 100, output_a: 30}}
  - {id: F2, kind: fuse, at: [400, 100], spec: {family: blade-maxi, rating_a: 40}}
  - {id: BAT1, kind: battery, at: [500, 100], spec: {chemistry: lfp, nominal_v: 51.2, capacity_ah: 100}}
  - {id: INV1, kind: inverter, at: [700, 100], spec: {continuous_va: 3000, dc_v: 51.2}}
  - {id: DCP1, kind: dc-panel, at: [700, 300], spec: {bus_a: 60, circuits: [{fuse_a: 10}, {fuse_a: 10}, {fuse_a: 5}]}}
runs:
  - {id: W1, from: PV1.out, to: F1.line, cores: ["+"], size: 10 AWG, cable: pv-90, length_m: 6}
  - {id: W2, from: F1.load, to: CC1.pv, cores: ["+"], size: 10 AWG, cable: pv-90, length_m: 1}
  - {id: W3, from: PV1.out, to: CC1.pv, cores: ["-"], size: 10 AWG, cable: pv-90, length_m: 7}
  - {id: W4, from: CC1.battery, to: F2.line, cores: ["+"], size: 8 AWG, cable: primary-105, length_m: 2}
  - {id: W5, from: F2.load, to: BAT1.pos, size: 8 AWG, cable: primary-105, length_m: 0.5}
  - {id: W6, from: CC1.battery, to: BAT1.neg, cores: ["-"], size: 8 AWG, cable: primary-105, length_m: 2.5, color: black}
  - {id: W7, from: BAT1.pos, to: INV1.dc, cores: ["+"], size: 1/0 AWG, cable: battery-105, length_m: 1, sets: 2}
  - {id: W8, from: BAT1.neg, to: INV1.dc, cores: ["-"], size: 1/0 AWG, cable: battery-105, length_m: 1, sets: 2}
  - {id: W9, from: BAT1.pos, to: DCP1.feed, cores: ["+"], size: 8 AWG, cable: duplex-105, length_m: 2}
`

func TestRoofCountedByHand(t *testing.T) {
	want := []string{
		"equipment | 1 pc | Battery | LFP, 51.2 V, 100 Ah | BAT1",
		"equipment | 1 pc | DC fuse block | 60 A bus | DCP1",
		"equipment | 1 pc | Inverter | 3 kVA, 51.2 V DC | INV1",
		"equipment | 1 pc | Pre-charge resistor | 50 Ω, 25 W, for a bank of 51.2 V | ",
		"equipment | 1 pc | Solar controller | 30 A, 100 V PV | CC1",
		"equipment | 6 pc | Solar module | Voc 24 V, Isc 10 A, Vmp 20 V, Imp 9 A, 2 in series, 3 in parallel | PV1",
		"protection | 1 pc | Fuse | 20 A gPV | F1",
		"protection | 1 pc | Fuse | 40 A maxi blade | F2",
		"protection | 1 pc | Fuse holder | for 20 A gPV | F1",
		"protection | 1 pc | Fuse holder | for 40 A maxi blade | F2",
		"protection | 1 pc | Panel fuse | 5 A | DCP1",
		"protection | 2 pc | Panel fuse | 10 A | DCP1",
		"spares | 1 pc | Fuse | 20 A gPV | F1",
		"spares | 1 pc | Fuse | 40 A maxi blade | F2",
		"spares | 1 pc | Panel fuse | 5 A | DCP1",
		"spares | 1 pc | Panel fuse | 10 A | DCP1",           // one for the two that are alike
		"cable | 3 m | battery cable, 105 °C | 1/0 AWG | W8", // 1 m by two sets: 2.2
		"cable | 3 m | battery cable, 105 °C | 1/0 AWG | W7",
		"cable | 3 m | primary wire, 105 °C | 8 AWG | W6",                // 2.75
		"cable | 3 m | primary wire, 105 °C | 8 AWG | W4 W5",             // 2.75
		"cable | 8 m | PV wire, 90 °C wet | 10 AWG | W3",                 // 7.7
		"cable | 8 m | PV wire, 90 °C wet | 10 AWG | W1 W2",              // 7.7
		"cable | 3 m | two-core boat cable, 105 °C | 8 AWG, 1 core | W9", // 2.2
		// Into clamps: both ends of W4 and one of W5 at F2; W4 and W6 at CC1. PV wire is
		// no free-air DC cable and takes nothing.
		"lugs and terminals | 4 pc | Ferrule or crimp terminal, as the device takes | 8 AWG | W4 W5 W6",
		"lugs and terminals | 4 pc | Ferrule or crimp terminal, as the device takes | 10 AWG | W1 W2 W3", // F1 and CC1.pv
		"lugs and terminals | 8 pc | Tinned copper lug | 1/0 AWG, M8 stud | W7 W8",                       // two sets, both ends, two runs
		"lugs and terminals | 3 pc | Tinned copper lug | 8 AWG, M8 stud | W5 W6 W9",
		"lugs and terminals | 1 pc | Tinned copper lug | 8 AWG, stud not known | W9",
		// At the modules a connector on each core, and what brings three strings together.
		"lugs and terminals | 2 pc | PV connector, of the make of the modules' own | 10 AWG | W1 W3",
		"lugs and terminals | 1 pc | PV branch connectors, a pair, or a combiner box | for 3 strings | PV1",
		"heat shrink and boots | 8 pc | Adhesive-lined heat shrink, one length a lug | for 1/0 AWG | W7 W8",
		"heat shrink and boots | 4 pc | Adhesive-lined heat shrink, one length a lug | for 8 AWG | W5 W6 W9",
		"heat shrink and boots | 2 pc | Terminal boot, black | for 1/0 AWG | W8",
		"heat shrink and boots | 1 pc | Terminal boot, black | for 8 AWG | W6",
		"heat shrink and boots | 2 pc | Terminal boot, red | for 1/0 AWG | W7",
		"heat shrink and boots | 2 pc | Terminal boot, red | for 8 AWG | W5 W9",
		// 1 m is 3.28 ft: 2 clamps 18 in apart, by two sets and two runs 8. PV wire is
		// held as building wire: 6 m 4 + 2, 1 m 0 + 2, 7 m 5 + 2. 8 AWG singles: 2 m 4,
		// 0.5 m 1, 2.5 m 5. W9: 2 m 4.
		"clamps, connectors, grommets | 8 pc | Cushioned clamp | for 1/0 AWG | W7 W8",
		"clamps, connectors, grommets | 10 pc | Cushioned clamp | for 8 AWG | W4 W5 W6",
		"clamps, connectors, grommets | 4 pc | Cushioned clamp | for 8 AWG, 1 core | W9",
		"clamps, connectors, grommets | 15 pc | Cushioned clamp | for 10 AWG | W1 W2 W3",
		"clamps, connectors, grommets | ? pc | Grommet or bushing | to fit the hole | W1 W2 W3 W4 W5 W6 W7 W8 W9",
		"labels | 7 pc | Part label |  | BAT1 CC1 DCP1 F1 F2 INV1 PV1",
		"labels | 18 pc | Run tag, heat-shrink or wrap-around |  | W1 W2 W3 W4 W5 W6 W7 W8 W9",
	}
	assert.ElementsMatch(t, want, told(read(t, roof)))
}

// A symbol that stands for three strings has a fuse on each.
func TestStringFuses(t *testing.T) {
	doc := read(t, `format: rigline/1
title: Bank
parts:
  - {id: BAT1, kind: battery, at: [100, 100], spec: {chemistry: lfp, nominal_v: 12.8, capacity_ah: 100, parallel: 3, string_fuse_a: 125}}
`)
	assert.Equal(t, []string{
		"equipment | 3 pc | Battery | LFP, 12.8 V, 100 Ah, 1 in series, 3 in parallel | BAT1",
		"protection | 3 pc | Fuse holder | for 125 A, family not told | BAT1",
		"protection | 3 pc | Fuse on each string | 125 A, family not told | BAT1",
		"spares | 1 pc | Fuse on each string | 125 A, family not told | BAT1",
		"labels | 1 pc | Part label |  | BAT1",
	}, told(doc))
}

// The lengths of the cable rows before waste come to the lengths of the runs, core
// by core where they are single.
func TestCableComesToTheRuns(t *testing.T) {
	docs := []*components.Document{read(t, counted), read(t, shack), read(t, roof)}
	for _, s := range append(projects.Samples(), projects.Starts()...) {
		docs = append(docs, s.Document())
	}
	for _, doc := range docs {
		drawn, listed := 0.0, 0.0
		for _, r := range doc.Runs() {
			cable, _ := r.Cable()
			feet, sets := r.Figure("length_ft"), r.Figure("sets")
			if !feet.Known() || !sets.Known() || cable.ID == "cord-shore" || bom.IsLead(doc, r) {
				continue
			}
			cores := float64(len(doc.CoresOf(r)))
			if cable.Multi {
				cores = 1
			}
			drawn += feet.Value * sets.Value * cores
		}
		for _, r := range bom.Rows(doc) {
			if r.Section == bom.Cable && r.Net > 0 {
				assert.GreaterOrEqual(t, r.Quantity, r.Net, doc.Title)
			}
			if r.Unit == "m" {
				r.Net /= 0.3048
			}
			listed += r.Net
		}
		assert.InDelta(t, drawn, listed, 0.05, doc.Title)
		assert.Equal(t, drawn > 0, listed > 0, doc.Title)
	}
}

func TestMetricLengths(t *testing.T) {
	doc := read(t, strings.Replace(counted, "parts:", "units: metric\nparts:", 1))
	var found bool
	for _, line := range told(doc) {
		found = found || line == "cable | 4 m | battery cable, 105 °C | 2/0 AWG | W5" // 11 ft = 3.35 m
	}
	assert.True(t, found, strings.Join(told(doc), "\n"))
	assert.Contains(t, strings.Join(told(doc), "\n"), "2/0 AWG, M10 stud")
}

func written(t *testing.T, doc *components.Document) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, bom.Write(&b, doc, "Mains voltage kills."))
	return b.String()
}

func TestPricesAndTotal(t *testing.T) {
	text := written(t, read(t, counted))
	records, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	require.NoError(t, err)
	var total []string
	for _, r := range records {
		assert.Len(t, r, len(records[0]))
		switch {
		case r[3] == "Battery": // two blocks share the part's 640
			assert.Equal(t, []string{"320.00", "640.00"}, r[7:9])
			assert.Equal(t, "'@local", r[6])
		case r[3] == "Fuse" && r[0] == "spares":
			assert.Equal(t, []string{"45.00", "45.00"}, r[7:9])
		case r[0] == "total":
			total = r
		}
	}
	// 640 + 2·45 + the spare's 45. The 22 other rows to buy have no price, and 14 of
	// them a range: the holder (2 × 25 to 90), two lengths of 2/0 (21 ft × 4 to 9),
	// three rows of lugs (14 × 1 to 6), two of shrink (14 × 0.3 to 2), two of boots (2
	// × 1 to 5), two of clamps (12 × 0.5 to 3), part labels (9 × 0.1 to 2), run tags
	// (14 × 0.1 to 1): 50 + 84 + 14 + 4.2 + 2 + 6 + 0.9 + 1.4 = 162.50, and 180 + 189 +
	// 84 + 28 + 10 + 36 + 18 + 14 = 559.
	assert.Equal(t, []string{"total", "", "", "rows to buy with a price: 3; without: 23", "", "", "", "", "775.00", "", "", "162.50", "559.00", "of 14 of the rows without a price; " + bom.PlanSays}, total)
	assert.Contains(t, text, "Mains voltage kills.")
	assert.Contains(t, text, "about,,,'=SUM(A1:A9),revision B,2026-11-25")
	assert.Contains(t, text, "cable,not known,ft,")
}

func TestSameProjectSameBytes(t *testing.T) {
	first := written(t, read(t, counted))
	for range 20 {
		require.Equal(t, first, written(t, read(t, counted)))
	}
	data, err := os.ReadFile("../../projects/starts/bus-50a.yaml")
	require.NoError(t, err)
	require.Equal(t, written(t, read(t, string(data))), written(t, read(t, string(data))))
}

func TestSafe(t *testing.T) {
	for cell, want := range map[string]string{
		"=1+1": "'=1+1", "+": "'+", "-": "'-", "@x": "'@x", "\t=1": "'\t'=1", "\r=1": "'\r'=1",
		"": "", "10 AWG": "10 AWG", "a=1": "a=1",
	} {
		assert.Equal(t, want, bom.Safe(cell), cell)
	}
}

// Every cell of every sample is safe to open in a spreadsheet, and no quantity is nought.
func TestSamples(t *testing.T) {
	for _, s := range append(projects.Samples(), projects.Starts()...) {
		t.Run(s.Name, func(t *testing.T) {
			records, err := csv.NewReader(strings.NewReader(written(t, s.Document()))).ReadAll()
			require.NoError(t, err)
			for _, r := range records {
				assert.NotEqual(t, "0", r[1], r)
				for _, cell := range r {
					assert.NotRegexp(t, `^[=+@\-\t]`, cell)
				}
			}
		})
	}
}

// The camper van of the samples, every row counted by hand from its file: lengths are
// summed by construction, size and colour, a tenth is added, and whole feet are bought.
func TestCamperVanCountedByHand(t *testing.T) {
	var doc *components.Document
	for _, s := range projects.Samples() {
		if s.Name == "camper-van" {
			doc = s.Document()
		}
	}
	require.NotNil(t, doc)
	want := []string{
		"equipment | 1 pc | AC load: Desk | 200 VA | LD2",
		"equipment | 1 pc | AC load: Induction plate | 1.2 kVA | LD1",
		"equipment | 1 pc | Battery | LFP, 25.6 V, 200 Ah | BAT1",
		"equipment | 1 pc | Bonding jumper | negative to ground | BJ1",
		"equipment | 2 pc | Bus bar | 250 A | BUS1 BUS2",
		"equipment | 1 pc | DC disconnect | 32 A | SW2",
		"equipment | 1 pc | DC disconnect | 200 A | SW1",
		"equipment | 1 pc | DC fuse block | 60 A bus | DCP1",
		"equipment | 1 pc | DC load: Fridge | 5 A | DL2",
		"equipment | 1 pc | DC load: Lamps | 4 A | DL1",
		"equipment | 1 pc | DC step-down | 20 A, 25.6 V to 12.8 V | SD1",
		"equipment | 1 pc | DC-DC charger | 20 A, 12 V to 25.6 V | DDC1",
		"equipment | 1 pc | Inverter/charger | 2 kVA, 25.6 V DC | INV1",
		"equipment | 1 pc | Panel | main 30 A, 60 A bus | PNL1",
		"equipment | 1 pc | Pre-charge resistor, with its button | 25 Ω, 25 W | SW1",
		"equipment | 1 pc | Shore inlet | 30 A | INL1",
		"equipment | 1 pc | Shunt | 300 A shunt | SHT1",
		"equipment | 1 pc | Solar controller | 30 A, 100 V PV | CC1",
		"equipment | 4 pc | Solar module | Voc 24.3 V, Isc 10.2 A, Vmp 20.4 V, Imp 9.8 A, 2 in series, 2 in parallel | PV1",
		"protection | 1 pc | AC breaker | 30 A, 1-pole | CB1",
		"protection | 1 pc | Fuse | 20 A class T | F2",
		"protection | 1 pc | Fuse | 30 A class T | F6",
		"protection | 1 pc | Fuse | 40 A class T | F3",
		"protection | 1 pc | Fuse | 75 A terminal block | F5",
		"protection | 1 pc | Fuse | 150 A class T | F1",
		"protection | 1 pc | Fuse | 150 A terminal block | F4",
		"protection | 1 pc | Fuse holder | for 20 A class T | F2",
		"protection | 1 pc | Fuse holder | for 30 A class T | F6",
		"protection | 1 pc | Fuse holder | for 40 A class T | F3",
		"protection | 1 pc | Fuse holder | for 150 A class T | F1",
		"protection | 2 pc | Panel breaker, ground-fault protected | 15 A, 1-pole | PNL1",
		"protection | 1 pc | Panel breaker, main | 30 A, 1-pole | PNL1",
		"protection | 1 pc | Panel fuse | 7.5 A | DCP1",
		"protection | 1 pc | Panel fuse | 10 A | DCP1",
		"protection | 1 pc | Stud block for a terminal fuse | for 75 A terminal block | F5",
		"protection | 1 pc | Stud block for a terminal fuse | for 150 A terminal block | F4",
		"spares | 1 pc | Fuse | 20 A class T | F2",
		"spares | 1 pc | Fuse | 30 A class T | F6",
		"spares | 1 pc | Fuse | 40 A class T | F3",
		"spares | 1 pc | Fuse | 75 A terminal block | F5",
		"spares | 1 pc | Fuse | 150 A class T | F1",
		"spares | 1 pc | Fuse | 150 A terminal block | F4",
		"spares | 1 pc | Panel fuse | 7.5 A | DCP1",
		"spares | 1 pc | Panel fuse | 10 A | DCP1",
		"cable | 7 ft | battery cable, 105 °C | 2 AWG | W15 W16 W17 W18 W34",            // red: 0.5 + 1 + 1 + 3 + 0.5 = 6; 6.6
		"cable | 8 ft | battery cable, 105 °C | 2 AWG | W19 W20 W21 W38",                // black: 1 + 1 + 4 + 1 = 7; 7.7
		"cable | 5 ft | battery cable, 105 °C | 2 AWG | W8 W39",                         // green: 3 + 1 = 4; 4.4
		"cable | 16 ft | battery cable, 105 °C | 6 AWG | W31 W32",                       // red: 0.5 + 14 = 14.5; 15.95
		"cable | 17 ft | battery cable, 105 °C | 6 AWG | W33",                           // black: 15; 16.5
		"cable | 9 ft | battery cable, 105 °C | 8 AWG | W12 W13 W28 W29",                // red: 4 + 0.5 + 0.5 + 3 = 8; 8.8
		"cable | 9 ft | battery cable, 105 °C | 8 AWG | W14 W30",                        // black: 4 + 4 = 8; 8.8
		"cable | 5 ft | battery cable, 105 °C | 8 AWG | W7",                             // green: 4; 4.4
		"cable | 5 ft | battery cable, 105 °C | 10 AWG | W22 W23",                       // red: 0.5 + 4 = 4.5; 4.95
		"cable | 6 ft | battery cable, 105 °C | 10 AWG | W24",                           // black: 5; 5.5
		"cable | 1 pc | listed shore cord set | 10 AWG, 3 cores, 25 ft | W1",            // as it is made
		"cable | 20 ft | PV wire, 90 °C wet | 10 AWG | W9 W10",                          // red: 14 + 4 = 18; 19.8
		"cable | 20 ft | PV wire, 90 °C wet | 10 AWG | W11",                             // black: 18; 19.8
		"cable | 11 ft | stranded multi-core cable, 90 °C | 10 AWG, 3 cores | W2 W3 W4", // 3 + 4 + 3 = 10; 11.0
		"cable | 18 ft | stranded multi-core cable, 90 °C | 14 AWG, 3 cores | W5 W6",    // 6 + 10 = 16; 17.6
		"cable | 4 ft | two-core boat cable, 105 °C | 8 AWG, 2 cores | W25",             // 3; 3.3
		"cable | 22 ft | two-core boat cable, 105 °C | 14 AWG, 2 cores | W26 W27",       // 12 + 8 = 20; 22.0
		// 22 ends of eleven 2 AWG runs: over 5/16 both of W15, W18, W21 and W34, one of W16, W17, W19, W20 and W38;
		// over 3/8 the switch by W16 and W17, the shunt by W19 and W20; the bond, the stud and the case are not known.
		"lugs and terminals | 13 pc | Tinned copper lug | 2 AWG, 5/16 in stud | W15 W16 W17 W18 W19 W20 W21 W34 W38",
		"lugs and terminals | 4 pc | Tinned copper lug | 2 AWG, 3/8 in stud | W16 W17 W19 W20",
		"lugs and terminals | 5 pc | Tinned copper lug | 2 AWG, stud not known | W8 W38 W39", // 2 + 1 + 2
		"lugs and terminals | 4 pc | Tinned copper lug | 6 AWG, 5/16 in stud | W31 W32 W33",  // W31 both, W32 and W33 one
		"lugs and terminals | 4 pc | Tinned copper lug | 8 AWG, 5/16 in stud | W13 W14 W28 W30",
		"lugs and terminals | 7 pc | Tinned copper lug | 8 AWG, stud not known | W7 W12 W13 W25 W28 W29", // W25 by two cores
		"lugs and terminals | 2 pc | Tinned copper lug | 10 AWG, 5/16 in stud | W22 W24",
		"lugs and terminals | 2 pc | Tinned copper lug | 10 AWG, stud not known | W22 W23",                                                      // F2
		"lugs and terminals | 2 pc | Ferrule or crimp terminal, as the device takes | 6 AWG | W32 W33",                                          // DDC1.in
		"lugs and terminals | 6 pc | Ferrule or crimp terminal, as the device takes | 8 AWG | W12 W14 W25 W29 W30",                              // CC1 2, SD1.out 2, DDC1.out 2
		"lugs and terminals | 6 pc | Ferrule or crimp terminal, as the device takes | 10 AWG | W9 W10 W11 W23 W24",                              // the roof isolator, CC1.pv, SD1.in
		"lugs and terminals | 8 pc | Ferrule or crimp terminal, as the device takes | 14 AWG | W26 W27",                                         // two cores, two ends, twice
		"lugs and terminals | 2 pc | PV connector, of the make of the modules' own | 10 AWG | W9 W11",                                           // plus and minus
		"lugs and terminals | 1 pc | PV branch connectors, a pair, or a combiner box | for 2 strings | PV1",                                     //
		"heat shrink and boots | 22 pc | Adhesive-lined heat shrink, one length a lug | for 2 AWG | W8 W15 W16 W17 W18 W19 W20 W21 W34 W38 W39", // 13 + 4 + 5
		"heat shrink and boots | 4 pc | Adhesive-lined heat shrink, one length a lug | for 6 AWG | W31 W32 W33",
		"heat shrink and boots | 11 pc | Adhesive-lined heat shrink, one length a lug | for 8 AWG | W7 W12 W13 W14 W25 W28 W29 W30", // 4 + 7
		"heat shrink and boots | 4 pc | Adhesive-lined heat shrink, one length a lug | for 10 AWG | W22 W23 W24",                    // 2 + 2
		"heat shrink and boots | 1 pc | Terminal boot, black | for 2 AWG | W19",
		"heat shrink and boots | 1 pc | Terminal boot, black | for 6 AWG | W33",
		"heat shrink and boots | 2 pc | Terminal boot, red | for 2 AWG | W15 W34",
		"heat shrink and boots | 1 pc | Terminal boot, red | for 6 AWG | W31",
		"clamps, connectors, grommets | 1 pc | Bolt with nut and star washers for a chassis stud | to fit its lugs | CH1",
		"clamps, connectors, grommets | 1 pc | Insulating cover of a bus bar | 250 A | BUS1", // the positive one
		"clamps, connectors, grommets | 6 pc | Box connector with strain relief | for 10 AWG, 3 cores | W2 W3 W4",
		"clamps, connectors, grommets | 4 pc | Box connector with strain relief | for 14 AWG, 3 cores | W5 W6",
		"clamps, connectors, grommets | 6 pc | Cushioned clamp | for 2 AWG | W8 W18 W21",          // 3, 3 and 4 ft by 1.5: 2 each
		"clamps, connectors, grommets | 19 pc | Cushioned clamp | for 6 AWG | W32 W33",            // 14 ft 9, 15 ft 10
		"clamps, connectors, grommets | 10 pc | Cushioned clamp | for 8 AWG | W7 W12 W14 W29 W30", // 4, 4, 4, 3 and 4 ft: 2 each
		"clamps, connectors, grommets | 2 pc | Cushioned clamp | for 8 AWG, 2 cores | W25",        // 3 ft
		"clamps, connectors, grommets | 5 pc | Cushioned clamp | for 10 AWG | W23 W24",            // 4 ft 2, 5 ft 3
		"clamps, connectors, grommets | 13 pc | Cushioned clamp | for 10 AWG | W9 W10 W11",        // by 4.5 ft and two: 14 ft 5, 4 ft 2, 18 ft 6
		"clamps, connectors, grommets | 6 pc | Cushioned clamp | for 10 AWG, 3 cores | W2 W3 W4",  // 0 + 2 each
		"clamps, connectors, grommets | 13 pc | Cushioned clamp | for 14 AWG, 2 cores | W26 W27",  // 12 ft 8, 8 ft 5
		"clamps, connectors, grommets | 7 pc | Cushioned clamp | for 14 AWG, 3 cores | W5 W6",     // 6 ft 3, 10 ft 4
		"clamps, connectors, grommets | ? pc | Grommet or bushing | to fit the hole | " + all("W", 1, 34) + " W38 W39",
		"labels | 29 pc | Part label |  | ALT1 BAT1 BAT2 BJ1 BUS1 BUS2 CB1 CC1 CH1 DCP1 DDC1 DL1 DL2 F1 F2 F3 F4 F5 F6 INL1 INV1 LD1 LD2 PNL1 PV1 SD1 SHT1 SW1 SW2", // thirty parts but the site's
		"labels | 78 pc | Run tag, heat-shrink or wrap-around |  | " + all("W", 1, 39),
		"kept | 1 pc | Alternator | 110 A | ALT1",
		"kept | 1 pc | Battery | AGM, 12 V, 95 Ah | BAT2",
		"kept | 5 ft | battery cable, 105 °C | 2 AWG | W36 W37", // black: 4 + 1, no waste
		"kept | 4 ft | battery cable, 105 °C | 2 AWG | W35",     // red
	}
	assert.ElementsMatch(t, want, told(doc))
	for _, r := range bom.Rows(doc) {
		if r.Section == bom.Cable && r.Unit == "ft" {
			assert.Equal(t, "cut to length, in one piece where it can be", r.Sold, "no building cable, which comes in coils")
		}
	}
}

// all are tags that follow each other.
func all(prefix string, from, to int) string {
	var tags []string
	for i := from; i <= to; i++ {
		tags = append(tags, fmt.Sprintf("%s%d", prefix, i))
	}
	return strings.Join(tags, " ")
}

// What a shop would have to ask for: fuses on the strings of an array, conduit for
// single conductors on the mains, a connector where a cable that stays enters a new box.
func TestNothingHasToBeAskedFor(t *testing.T) {
	rows := told(read(t, `format: rigline/1
title: Asked
parts:
  - {id: PNL1, kind: panel, at: [100, 100], status: existing, spec: {bus_a: 60, main_a: 30, legs: 1, circuits: [{breaker_a: 20, leg: L1}]}}
  - {id: PNL2, kind: panel, at: [400, 100], spec: {bus_a: 60, main_a: 30, legs: 1, circuits: [{breaker_a: 15, leg: L1}]}}
  - {id: LD1, kind: ac-load, at: [600, 100], status: existing, spec: {va: 100}}
  - {id: PV1, kind: solar-array, at: [100, 400], spec: {voc_v: 22, isc_a: 6, vmp_v: 18, imp_a: 5.5, series: 1, parallel: 3, string_fuse_a: 15}}
runs:
  - {id: W1, from: PNL1.c1, to: PNL2.main, size: 12 AWG, cable: thhn, length_ft: 10}
  - {id: W2, from: PNL2.c1, to: LD1.in, size: 14 AWG, cable: nm-b, length_ft: 10, status: existing}
`))
	for _, want := range []string{
		"protection | 3 pc | Fuse on each string | 15 A gPV | PV1",
		"protection | 3 pc | Fuse holder | for 15 A gPV | PV1",
		"spares | 1 pc | Fuse on each string | 15 A gPV | PV1",
		"clamps, connectors, grommets | 11 ft | Conduit, with its ends | for 12 AWG | W1",
		"clamps, connectors, grommets | 1 pc | Box connector with strain relief | for 14 AWG, 3 cores | W2",
	} {
		assert.Contains(t, rows, want)
	}
}
