package checks

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/components/units"
	"rigline/rules/tables"
)

func TestWithstandEdges(t *testing.T) {
	rig := "../../testdata/rules/fault.conductor-withstand.yaml"
	edges(t, rig, "fault.conductor-withstand", []edge{
		{name: "8 AWG on 300 A", at: "W20", says: "F1 may take", from: "ICEA P-32-382: 763 kA²s; UL 248-15: 1.1 MA²s"},
		{name: "6 AWG on 300 A", edits: []components.Edit{word("W20", "size", "6 AWG")}, at: "W20", from: "ICEA P-32-382: 1.93 MA²s > 1.1 MA²s"},
		{name: "8 AWG on 200 A", edits: []components.Edit{num("F1", "rating_a", 200)}, at: "W20", from: "UL 248-15: 0.3 MA²s < 763 kA²s"},
		{name: "a strip fuse", edits: []components.Edit{word("W20", "size", "6 AWG"), word("F1", "family", "strip-sf51")}, at: "W20", says: "F1 may take", from: "ISO 8820: 1 s at 1800 A = 3.24 MA²s > 1.93 MA²s"},
		{name: "no curve", edits: []components.Edit{word("F1", "family", "nh-gg-dc")}, at: "F1", says: "is not in the tables", asks: true, from: "the family has no point above its rating"},
		{name: "battery not told", edits: []components.Edit{unknown("BAT1", "capacity_ah")}, at: "BAT1", says: "bears a short from it", asks: true, from: "no short-circuit current"},
	})
}

// A strip fuse of 400 A at 6 kA: its curve ends at 1 s for six times, and the same
// I²t gives 0.16 s there; 8 AWG bears 6 kA for 0.021 s from 75 to 150 °C, 2/0 for 1.4 s.
func TestClearing(t *testing.T) {
	s, last := tables.FuseClears("strip-sf51", 400, 6000)
	assert.InDelta(t, 0.16, s, 1e-9, "1 s · (6/15)²")
	assert.Equal(t, 6.0, last)
	at, _ := tables.FuseClears("strip-sf51", 400, 2400)
	assert.InDelta(t, 1, at, 1e-9, "ISO 8820-5: 1 s at 600 %")
	limited, _ := tables.FuseClears("class-t", 100, 10000)
	assert.InDelta(t, 0.0008, limited, 1e-9, "UL 248-15: 80 kA²s / (10 kA)²")
	none, _ := tables.FuseClears("nh-gg-dc", 100, 1000)
	assert.True(t, math.IsInf(none, 1), "nothing is promised")
	eight, err := units.ParseSize("8 AWG")
	require.NoError(t, err)
	one := components.Run{}
	two := components.Run{Spec: components.Spec{"sets": components.Num(2)}}
	aluminum := components.Run{Spec: components.Spec{"metal": components.Str(components.Aluminum)}}
	assert.InDelta(t, 0.0297*math.Log10(384.0/309)*math.Pow(16510.0/6000, 2), bears(one, eight, 6000), 1e-5, "ICEA P-32-382")
	assert.InDelta(t, 4*bears(one, eight, 6000), bears(two, eight, 6000), 1e-9, "two side by side bear four times as long")
	assert.InDelta(t, 0.0125*math.Log10(378.0/303)*math.Pow(16510.0/6000, 2), bears(aluminum, eight, 6000), 1e-5, "ICEA P-32-382, aluminum from memory")
}

func TestFarEndEdges(t *testing.T) {
	rig := "../../testdata/rules/fault.far-end-clears.yaml" // 60 ft of 16 AWG behind 25 A class T
	edges(t, rig, "fault.far-end-clears", []edge{
		{name: "never promised", at: "W16", says: "0.9 times the rating of F2", from: "13.2 V / 0.59 Ω = 22 A"},
		{name: "spoilt first", edits: []components.Edit{num("W16", "length_ft", 25), num("W17", "length_ft", 25)}, at: "W16", says: "W16 bears that for", from: "2.1 times: UL 248-15 about 100 s, ICEA P-32-382 about 7 s"},
		{name: "a quick blade", edits: []components.Edit{word("F2", "family", "blade-atc"), num("F2", "rating_a", 5)}, at: "W16", from: "ISO 8820-3: 4.4 times, under 0.5 s"},
		{name: "length not told", edits: []components.Edit{unknown("W16", "length_ft")}, at: "W16", says: "no short at a far end", asks: true, from: "nothing to work out"},
	})
}
