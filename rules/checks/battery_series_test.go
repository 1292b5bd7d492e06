package checks

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/rules"
)

// inTwo draws the battery of a rig as two in series, each with half of its voltage: BAT1
// above BAT9, joined by W99.
func inTwo(volts float64, more ...components.Edit) []components.Edit {
	below := components.Part{ID: "BAT9", Kind: &components.Battery, At: components.Point{X: 120, Y: 640}, Spec: components.Spec{
		"chemistry": components.Str("lfp"), "nominal_v": components.Num(volts / 2), "capacity_ah": components.Num(200), "series_max": components.Num(4), "cold_cutoff": components.Yes(true)}}
	edits := append(gone("W9"), components.AddPart{Part: below},
		num("BAT1", "nominal_v", volts/2), num("BAT1", "series_max", 4), components.Set{On: "BAT1", Key: "cold_cutoff", Value: components.Yes(true)},
		wire("W9", "BAT9.neg", "BUS1.bar", "-"), wire("W99", "BAT1.neg", "BAT9.pos", "->+"))
	return append(edits, more...)
}

func wire(id components.ID, from, to, core string) components.Edit {
	a, _ := components.ParsePortRef(from)
	b, _ := components.ParsePortRef(to)
	c, _ := components.ParseCore(core)
	return components.AddRun{Run: components.Run{ID: id, From: a, To: b, Cores: []components.Core{c}, Spec: components.Spec{"size": components.Str("2/0 AWG"), "cable": components.Str("battery-105"), "length_ft": components.Num(1)}}}
}

// Two batteries drawn in series are judged as the one battery of two blocks that they
// are: the same rules speak at the same places.
func TestTwoSymbolsInSeriesAreOneBattery(t *testing.T) {
	for name, edits := range map[string][]components.Edit{
		"a 24 V inverter":                           {num("INV1", "dc_v", 25.6)},
		"a 12 V inverter":                           {num("INV1", "dc_v", 12.8)},
		"a fuse of 20 V":                            {num("INV1", "dc_v", 25.6), num("F1", "volts_dc", 20), num("F1", "interrupting_a", 20000)},
		"a fuse that breaks 5 kA":                   {num("INV1", "dc_v", 25.6), num("F1", "volts_dc", 32), num("F1", "interrupting_a", 5000)},
		"a terminal fuse above 14 V":                {num("INV1", "dc_v", 25.6), word("F1", "family", "terminal-block")},
		"a switch of 24 V":                          {num("INV1", "dc_v", 25.6), num("SW9", "volts_dc", 24)},
		"an inverter that stands 28 V":              {num("INV1", "dc_v", 25.6), num("INV1", "dc_high_v", 28)},
		"an inverter that stops at 20 V, trip 20 V": {num("INV1", "dc_v", 25.6), num("INV1", "dc_low_v", 20), num("BAT1", "trip_v", 10)},
		"a charger set to 30 V":                     {num("INV1", "dc_v", 25.6), num("INV1", "absorb_v", 30)},
		"a limit of 60 A":                           {num("INV1", "dc_v", 25.6), num("BAT1", "discharge_a", 60)},
		"a limit of charge of 20 A":                 {num("INV1", "dc_v", 25.6), num("BAT1", "charge_a", 20)},
	} {
		t.Run(name, func(t *testing.T) {
			doc := load(t, oneBlock)
			one, err := doc.Apply(append([]components.Edit{num("BAT1", "series", 2), num("BAT1", "series_max", 4), components.Set{On: "BAT1", Key: "cold_cutoff", Value: components.Yes(true)}}, edits...)...)
			require.NoError(t, err)
			two, err := doc.Apply(inTwo(25.6, edits...)...)
			require.NoError(t, err)
			upper, _ := two.Part("BAT1")
			for _, key := range []string{"trip_v", "discharge_a", "charge_a"} {
				if upper.Spec[key].Told() {
					two, err = two.Apply(set("BAT9", key, upper.Spec[key]))
					require.NoError(t, err)
				}
			}
			twoAreToldOfAsOne(t, one, two, "BAT1", "BAT9")
		})
	}
}

// twoAreToldOfAsOne holds what is told of a string of two symbols to what is told of the
// one that it is: the same at the same places, and what is said of the upper symbol
// perhaps of the lower one too. W99 joins the two.
func twoAreToldOfAsOne(t *testing.T, one, two *components.Document, upper, lower string, more ...string) {
	t.Helper()
	want, got := places(t, one), places(t, two)
	beyond := append([]string{"conductor.crossed-poles advice W99"}, more...)
	for _, w := range want {
		assert.Contains(t, got, w)
		beyond = append(beyond, w, strings.Replace(w, upper, lower, 1))
	}
	for _, g := range got {
		assert.Contains(t, beyond, g, "beyond what one symbol is told of")
	}
}

func places(t *testing.T, doc *components.Document) []string {
	var all []string
	r := check(t, doc)
	for _, f := range r.All() {
		all = append(all, fmt.Sprint(f.Rule.ID, " ", f.Level, " ", f.At))
	}
	for _, f := range r.Unchecked {
		all = append(all, fmt.Sprint(f.Rule.ID, " asks ", f.At))
	}
	return all
}

func TestStringEdges(t *testing.T) {
	in24 := func(more ...components.Edit) []components.Edit {
		return inTwo(25.6, append(more, num("INV1", "dc_v", 25.6))...)
	}
	load := components.AddPart{Part: components.Part{ID: "DL9", Kind: &components.DCLoad, At: components.Point{X: 60, Y: 700}, Spec: components.Spec{"a": components.Num(2)}}}
	edges(t, oneBlock, "battery.string-uniformity", []edge{
		{name: "two alike in series", edits: in24(), at: "BAT1", from: "battery makers: blocks alike"},
		{name: "5 % apart", edits: in24(num("BAT9", "capacity_ah", 190)), at: "BAT1", from: "practice: within 5 %"},
		{name: "more", edits: in24(num("BAT9", "capacity_ah", 189)), at: "BAT1", says: "the smaller one is empty first", from: "practice: within 5 %"},
		{name: "another chemistry", edits: in24(word("BAT9", "chemistry", "agm")), at: "BAT1", says: "no charge fills both", from: "battery makers: one chemistry"},
		{name: "as many as allowed", edits: in24(num("BAT9", "series_max", 2)), at: "BAT9", from: "battery makers: blocks in series"},
		{name: "one more", edits: in24(num("BAT1", "series", 2), num("BAT1", "nominal_v", 6.4), num("BAT9", "series_max", 2)), at: "BAT9", says: "one of 3 blocks in series; its maker allows 2", from: "battery makers: blocks in series"},
		{name: "not told", edits: in24(set("BAT9", "series_max", components.Value{})), at: "BAT9", says: "series_max of BAT9 is not known", asks: true, from: "battery makers: blocks in series"},
		{name: "a tap below", edits: in24(load, wire("W93", "BAT9.pos", "DL9.in", "+"), wire("W94", "BUS1.bar", "DL9.in", "-")), at: "DL9", says: "takes from or charges one of them alone", from: "practice: no tap from part of a string"},
		{name: "a tap above", edits: in24(load, wire("W93", "F1.load", "DL9.in", "+"), wire("W94", "BAT1.neg", "DL9.in", "-")), at: "DL9", says: "takes from or charges one of them alone", from: "practice: no tap from part of a string"},
		{name: "across both", edits: in24(load, wire("W93", "F1.load", "DL9.in", "+"), wire("W94", "BUS1.bar", "DL9.in", "-")), at: "DL9", from: "practice: the whole string"},
	})
	edges(t, oneBlock, "battery.cold-charge-block", []edge{
		{name: "the lower block has no cut-off", edits: in24(num("BAT9", "coldest_c", -5), set("BAT9", "cold_cutoff", components.Yes(false)), set("INV1", "cold_cutoff", components.Yes(false))), at: "BAT9", says: "must not be charged below 0 °C", from: "data sheets: 0 °C"},
	})
	edges(t, oneBlock, "overcurrent.rating-within-ampacity", []edge{
		{name: "the joint as thick as the leads", edits: in24(), at: "W99", from: "2/0 AWG 330 A, F1 300 A"},
		{name: "at the limit", edits: in24(word("W99", "size", "1/0 AWG"), num("F1", "rating_a", 285)), at: "W99", from: "Table 5: 1/0 AWG 285 A"},
		{name: "to 150 %", edits: in24(word("W99", "size", "2 AWG")), at: "W99", says: "only F1 behind their string protects it", from: "183.455(c): 2 AWG 210 A, 315 A"},
		{name: "beyond", edits: in24(word("W99", "size", "4 AWG")), at: "W99", says: "joins BAT1 and BAT9 in series and is good for 160 A", from: "183.455(c): 4 AWG 160 A, 240 A < 300 A"},
		{name: "not told", edits: in24(unknown("W99", "size")), at: "W99", says: "the size of W99 is not known", asks: true, from: "Table 5"},
	})
	edges(t, oneBlock, "conductor.load-within-ampacity", []edge{
		{name: "the joint carries the load", edits: in24(word("W99", "size", "8 AWG")), at: "W99", says: "W99 (8 AWG) carries up to", from: "Table 5: 8 AWG 80 A"},
	})
}

// After an edit of either block, or of the joint, a check out of the one before finds what
// one from the beginning finds.
func TestCheckNextOfAString(t *testing.T) {
	doc, err := load(t, oneBlock).Apply(inTwo(25.6, num("INV1", "dc_v", 25.6))...)
	require.NoError(t, err)
	report := check(t, doc)
	for _, edit := range []components.Edit{
		num("BAT9", "nominal_v", 6.4), num("BAT9", "nominal_v", 12.8), num("BAT9", "capacity_ah", 100), num("BAT9", "charge_a", 10), num("BAT9", "coldest_c", -10),
		components.Set{On: "BAT9", Key: "cold_cutoff", Value: components.Yes(false)}, num("BAT9", "series_max", 1), word("BAT9", "chemistry", "agm"), word("BAT9", "chemistry", "lfp"),
		word("W99", "size", "6 AWG"), word("W99", "size", "2/0 AWG"), unknown("W99", "size"), num("F1", "volts_dc", 20), num("F1", "rating_a", 400), word("W9", "size", "10 AWG"),
	} {
		doc, err = doc.Apply(edit)
		require.NoError(t, err)
		report, err = rules.CheckNext(context.Background(), report, doc, All)
		require.NoError(t, err)
		assert.Equal(t, told(check(t, doc)), told(report), "after %v", edit)
	}
}
