package bom_test

import (
	"bytes"
	"encoding/csv"
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
		"equipment | 2 pc | Battery | lfp, 12.8 V, 100 Ah, 1 in series, 2 in parallel | BAT1",
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
		"lugs and terminals | 5 pc | Tinned copper lug with adhesive heat shrink | 2/0 AWG, 3/8 in stud | W1 W2 W3 W4",
		// 2/0 over 5/16: both posts (2), BUS1 by W2 (1) and W3's two sets (2), BUS2 by W5 (1), the inverter by W4 (1).
		"lugs and terminals | 7 pc | Tinned copper lug with adhesive heat shrink | 2/0 AWG, 5/16 in stud | W1 W2 W3 W4 W5",
		"lugs and terminals | 2 pc | Tinned copper lug with adhesive heat shrink | size not known, 5/16 in stud | W6",
		"kept | 7 ft | battery cable, 105 °C | 4 AWG | W7", // what is there is not bought: no waste
		"kept | 1 pc | DC disconnect | 300 A | SW1",
		"comes out | 1 pc | DC disconnect | 100 A | OLD1",
	}
	assert.Equal(t, want, told(read(t, counted)))
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
			assert.Equal(t, []string{"320.00", "640.00"}, r[7:])
			assert.Equal(t, "'@local", r[6])
		case r[3] == "Fuse" && r[0] == "spares":
			assert.Equal(t, []string{"45.00", "45.00"}, r[7:])
		case r[0] == "total":
			total = r
		}
	}
	// 640 + 2·45 + the spare's 45. The 12 other rows to buy have no price.
	assert.Equal(t, []string{"total", "", "", "rows to buy with a price: 3; without: 12", "", "", "", "", "775.00"}, total)
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
		"=1+1": "'=1+1", "+": "'+", "-": "'-", "@x": "'@x", "\t=1": "'\t=1", "\r=1": "'\r=1",
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
