package checks

import (
	"testing"

	"github.com/stretchr/testify/require"

	"rigline/components"
)

func TestMainByCCAEdges(t *testing.T) {
	rig := "../../testdata/rules/overcurrent.main-aic-by-cca.yaml"
	lead := []components.Edit{word("BAT1", "chemistry", "flooded"), num("BAT1", "nominal_v", 12), num("BAT1", "capacity_ah", 10), word("F1", "family", "strip-sf51")}
	with := func(e ...components.Edit) []components.Edit { return append(lead[:len(lead):len(lead)], e...) }
	edges(t, rig, "overcurrent.main-aic-by-cca", []edge{
		{name: "declared", edits: []components.Edit{num("BAT1", "fault_a", 3000)}, at: "F1", from: "ABYC E-11 11.10: the declared current"},
		{name: "class T", edits: []components.Edit{word("F1", "family", "class-t")}, at: "F1", from: "practice: 20 kA"},
		{name: "651 CCA", edits: with(num("BAT1", "cca_a", 651)), at: "F1", says: "should break 3000 A", from: "ABYC E-11 Table 3B: 651 to 1100 A, 3000 A"},
		{name: "650 CCA", edits: with(num("BAT1", "cca_a", 650)), at: "F1", from: "ABYC E-11 Table 3B: to 650 A, 1500 A"},
		{name: "two of 550", edits: with(num("BAT1", "cca_a", 550), num("BAT1", "parallel", 2), num("F1", "interrupting_a", 2999)), at: "F1", says: "should break 3000 A", from: "ABYC E-11 Table 3B: 1100 A"},
		{name: "above the table", edits: with(num("BAT1", "cca_a", 2300)), at: "F1", says: "should break 20000 A", from: "ABYC E-11 11.10"},
		{name: "nothing told", edits: with(), at: "F1", from: "overcurrent.interrupting-rating works from the capacity"},
	})
}

func TestSharingEdges(t *testing.T) {
	rig := "../../testdata/rules/battery.bms-single-trip.yaml" // two strings of 150 A, 211.6 A asked
	edges(t, rig, "battery.bms-single-trip", []edge{
		{name: "one carries all", edits: []components.Edit{num("BAT1", "discharge_a", 212)}, at: "BAT1", from: "212 A > 211.6 A"},
		{name: "three", edits: []components.Edit{num("BAT1", "parallel", 3)}, at: "BAT1", from: "300 A > 211.6 A"},
		{name: "one string", edits: []components.Edit{num("BAT1", "parallel", 1)}, at: "BAT1", from: "battery.bms-discharge-limit speaks"},
	})
	two := "../../testdata/rules/battery.parallel-balance.yaml"
	edges(t, two, "battery.parallel-balance", []edge{
		{name: "equal leads", edits: []components.Edit{num("W18", "length_ft", 0.5)}, at: "BAT1", from: "Kirchhoff: even"},
		{name: "uneven, within limits", edits: []components.Edit{num("BAT1", "discharge_a", 150), num("BAT2", "discharge_a", 150)}, at: "BAT1", says: "where its share is", from: "practice: 1.10"},
		{name: "length not told", edits: []components.Edit{unknown("W18", "length_ft")}, at: "W18", says: "how BAT1 and BAT2 share", asks: true, from: "nothing to work with"},
	})
}

func TestSurgeEdges(t *testing.T) {
	rig := "../../testdata/rules/overcurrent.surge-hold.yaml" // 6 kVA / (0.9 × 10.5 V) = 634.9 A on a strip fuse
	edges(t, rig, "overcurrent.surge-hold", []edge{
		{name: "2.1 times for 5 s", at: "F1", says: "2.12 times its rating, for 5 s", from: "ISO 8820: 200 % from 1 s"},
		{name: "beyond the curve", edits: []components.Edit{num("INV1", "surge_va", 20000)}, at: "F1", says: "7.05 times its rating", from: "ISO 8820: 600 % is the last point"},
		{name: "a short surge", edits: []components.Edit{num("INV1", "surge_s", 0.5)}, at: "F1", from: "ISO 8820: 200 % from 1 s, 350 % from 0.3 s"},
		{name: "a larger fuse", edits: []components.Edit{num("F1", "rating_a", 450)}, at: "F1", from: "ISO 8820: 1.41 times"},
		{name: "no surge told", edits: []components.Edit{set("INV1", "surge_va", components.Value{})}, at: "F1", from: "no surge"},
	})
}

func TestSmallConductorEdges(t *testing.T) {
	rig := "../../testdata/rules/conductor.minimum-gauge.yaml" // W22 14 AWG behind 20 A, W20 to F2 60 A
	fuse := func(amps float64) components.Edit {
		return set("DCP1", "circuits", components.Table(components.Spec{"fuse_a": components.Num(amps)}))
	}
	edges(t, rig, "conductor.minimum-gauge", []edge{
		{name: "14 AWG, 15 A", edits: []components.Edit{fuse(15)}, at: "W22", from: "Table 552.10(E)(1): 14 AWG 15 A"},
		{name: "12 AWG, 20 A", edits: []components.Edit{word("W22", "size", "12 AWG")}, at: "W22", from: "Table 552.10(E)(1): 12 AWG 20 A"},
		{name: "16 AWG, 7.5 A", edits: []components.Edit{word("W22", "size", "16 AWG"), fuse(7.5)}, at: "W22", from: "Table 552.10(E)(1): 16 AWG 8 A"},
		{name: "18 AWG in its sheath, 5 A", edits: []components.Edit{word("W22", "size", "18 AWG"), fuse(5)}, at: "W22", from: "183.425(e): sheathed 18 AWG"},
		{name: "18 AWG by itself", edits: []components.Edit{word("W22", "size", "18 AWG"), word("W22", "cable", "primary-105"), fuse(5)}, at: "W22", says: "16 AWG is the thinnest", from: "183.425(d)"},
		{name: "under 1 A", edits: []components.Edit{word("W22", "size", "18 AWG"), word("W22", "cable", "primary-105"), fuse(5), num("DL1", "a", 0.9)}, at: "W22", from: "183.425: circuits under 1 A"},
		{name: "1.5 mm² is below 14 AWG", edits: []components.Edit{word("W22", "size", "1.5 mm²"), fuse(8)}, at: "W22", from: "Table 552.10(E)(1): 1.5 mm² > 16 AWG, 8 A"},
		{name: "1.5 mm², 10 A", edits: []components.Edit{word("W22", "size", "1.5 mm²"), fuse(10)}, at: "W22", says: "W22 is 1.5 mm2, which the trailer rule allows 8 A", from: "Table 552.10(E)(1): 1.5 mm² < 14 AWG"},
		{name: "a pigtail", edits: []components.Edit{word("W22", "size", "18 AWG"), word("W22", "cable", "primary-105"), fuse(5), num("W22", "length_ft", 0.5)}, at: "W22", from: "183.425: pigtails under 7 in"},
	})
	clad := "../../testdata/rules/conductor.copper-stranded-only.yaml"
	edges(t, clad, "conductor.copper-stranded-only", []edge{
		{name: "protected in time", edits: []components.Edit{word("W8", "metal", "copper-clad"), word("W8", "size", "4/0 AWG")}, at: "W8", says: "W8 is copper-clad aluminum", from: "183.425(a)"},
		{name: "burns", edits: []components.Edit{word("W8", "metal", "aluminum")}, at: "W8", says: "what protects it lets it burn", from: "practice: 2/0 AWG counts as 1 AWG, 245 A < 300 A"},
		{name: "solid", edits: []components.Edit{word("W10", "metal", "copper"), word("W10", "cable", "nm-b"), word("W10", "size", "10 AWG")}, at: "W10", says: "solid to 10 AWG", from: "183.425(a)"},
	})
	edges(t, oneBlock, "conductor.colour-code", []edge{
		{name: "red positive", edits: []components.Edit{word("W7", "color", "red")}, at: "W7", from: "ABYC E-11"},
		{name: "yellow negative", edits: []components.Edit{word("W7", "color", "red"), word("W9", "color", "yellow")}, at: "W9", from: "ABYC E-11"},
		{name: "white negative among red", edits: []components.Edit{word("W7", "color", "red"), word("W9", "color", "white")}, at: "W9", says: "the rest of the rig goes by red positive", from: "ABYC E-11"},
		{name: "trailer scheme", edits: []components.Edit{word("W7", "color", "black"), word("W8", "color", "black"), word("W9", "color", "white")}, at: "W9", from: "trailer makers' practice"},
		{name: "black among black", edits: []components.Edit{word("W7", "color", "black"), word("W8", "color", "black"), word("W9", "color", "black")}, at: "W9", says: "black positive, white negative", from: "trailer makers' practice"},
		{name: "green", edits: []components.Edit{word("W9", "color", "green-yellow")}, at: "W9", says: "the colour of a ground", from: "ABYC E-11"},
	})
}

func TestTwoBatteriesEdges(t *testing.T) {
	rig := "../../testdata/rules/battery.string-uniformity.yaml" // BAT1, F1, BUS2, F3, BAT2
	lead := []components.Edit{word("BAT1", "chemistry", "agm"), num("BAT1", "nominal_v", 12)}
	far := append(lead[:2:2], components.RemoveRun{ID: "W16"}, components.RemoveRun{ID: "W18"}, components.RemovePart{ID: "F3"}, components.AddRun{Run: components.Run{ID: "W50", From: port("BAT2.pos"), To: port("F1.load"),
		Spec: components.Spec{"size": components.Str("2/0 AWG"), "cable": components.Str("battery-105"), "length_ft": components.Num(5)}}})
	near := append(lead[:2:2], components.RemoveRun{ID: "W16"}, components.RemoveRun{ID: "W18"}, components.RemovePart{ID: "F3"}, components.AddRun{Run: components.Run{ID: "W50", From: port("BAT2.pos"), To: port("F1.load"),
		Spec: components.Spec{"size": components.Str("2/0 AWG"), "cable": components.Str("battery-105"), "length_ft": components.Num(1.5)}}})
	edges(t, rig, "overcurrent.two-source-both-ends", []edge{
		{name: "one fuse for two", edits: far, at: "BAT2.pos", says: "has its only fuse, F1, at the end of BAT1", from: "183.455(a)"},
		{name: "within 18 in", edits: near, at: "BAT2.pos", from: "552.10(E)(4)"},
	})
}

// What small wire is allowed does not hang on what feeds its block.
func TestSmallConductorBehindStepDown(t *testing.T) {
	rig := "../../testdata/rules/conductor.minimum-gauge.yaml"
	doc := load(t, rig)
	feed := doc.RunsAt(port("DCP1.feed"))
	require.NotEmpty(t, feed)
	sd := components.AddPart{Part: components.Part{ID: "SD9", Kind: &components.DCConverter, At: components.Point{X: 900, Y: 700}, Spec: components.Spec{"in_v": components.Num(12.8), "out_v": components.Num(12), "output_a": components.Num(40)}}}
	edits := []components.Edit{sd}
	for _, r := range feed {
		e := r.Rerouted()
		e.Path, e.Cores = nil, doc.CoresOf(r)
		if e.From == port("DCP1.feed") {
			e.From = port("SD9.in")
		} else {
			e.To = port("SD9.in")
		}
		edits = append(edits, e)
	}
	edits = append(edits, wire("W97", "SD9.out", "DCP1.feed", "+"), wire("W98", "SD9.out", "DCP1.feed", "-"))
	fuse := func(amps float64) []components.Edit {
		return append(edits[:len(edits):len(edits)], set("DCP1", "circuits", components.Table(components.Spec{"fuse_a": components.Num(amps)})))
	}
	edges(t, rig, "conductor.minimum-gauge", []edge{
		{name: "14 AWG, 15 A behind a step-down", edits: fuse(15), at: "W22", from: "Table 552.10(E)(1): 14 AWG 15 A"},
		{name: "14 AWG, 20 A behind a step-down", edits: fuse(20), at: "W22", says: "the trailer rule allows 15 A", from: "Table 552.10(E)(1): 14 AWG 15 A"},
	})
}

// The negative of the bank itself is held to what protects the appliances whose
// current comes back over it.
func TestReturnWayEdges(t *testing.T) {
	small := func(more ...components.Edit) []components.Edit {
		return append([]components.Edit{num("INV1", "continuous_va", 300), num("INV1", "charge_a", 10)}, more...)
	}
	beside := components.AddRun{Run: components.Run{ID: "W99", From: port("BAT1.neg"), To: port("BUS1.bar"),
		Spec: components.Spec{"size": components.Str("10 AWG"), "cable": components.Str("battery-105"), "length_ft": components.Num(1)}}}
	edges(t, oneBlock, "overcurrent.rating-within-ampacity", []edge{
		{name: "as thick as the feed", edits: small(), at: "W9", from: "Table 5: 2/0 AWG 330 A"},
		{name: "10 AWG at 60 A", edits: small(word("W9", "size", "10 AWG"), num("F1", "rating_a", 60)), at: "W9", from: "Table 5: 10 AWG 60 A"},
		{name: "4 AWG at the next size", edits: small(word("W9", "size", "4 AWG"), num("F1", "rating_a", 175)), at: "W9", from: "240.4(B): 160 A, next 175 A"},
		{name: "10 AWG at 150 %", edits: small(word("W9", "size", "10 AWG"), num("F1", "rating_a", 90)), at: "W9", says: "brings back what INV1.dc takes", from: "183.455(c): 90 A"},
		{name: "10 AWG behind 300 A", edits: small(word("W9", "size", "10 AWG")), at: "W9", says: "is good for 60 A, but only F1, 300 A protects it", from: "practice: a return carries what its feed carries"},
		{name: "two ways back, alike", edits: small(word("W9", "size", "10 AWG"), beside), at: "W9", says: "brings back 150 A of what", from: "Kirchhoff: each 150 A of 300 A; 183.455(c): 60 A and 90 A at 150 %"},
		{name: "two ways back, next standard size", edits: small(word("W9", "size", "10 AWG"), beside, num("F1", "rating_a", 120)), at: "W9", from: "Kirchhoff: each 60 A; Table 5: 10 AWG 60 A"},
		{name: "thin beside thick", edits: small(beside), at: "W99", from: "Kirchhoff: 1 ft of 10 AWG beside 1 ft of 2/0 AWG takes 7 %, 22 A of 300 A"},
		{name: "thin and short beside thick and long", edits: small(beside, num("W9", "length_ft", 20)), at: "W99", says: "brings back", from: "Kirchhoff: 1.24 mΩ beside 20 × 0.0967 mΩ takes 61 %, 183 A"},
		{name: "two ways back, a length not told", edits: small(word("W9", "size", "10 AWG"), beside, unknown("W99", "length_ft")), at: "W9", says: "the length of W99 is not known: two ways lead back", asks: true, from: "nothing to divide by"},
		{name: "two thick ways, a length not told", edits: small(beside, word("W99", "size", "2/0 AWG"), unknown("W99", "length_ft")), at: "W9", from: "Table 5: each carries the whole"},
		{name: "size not known", edits: small(unknown("W9", "size")), at: "W9", says: "the size of W9 is not known", asks: true, from: "Table 5"},
	})
}

// A short at the DC terminals of an inverter is the far end of its leads.
func TestFarEndOfConverters(t *testing.T) {
	long := []components.Edit{num("W8", "length_ft", 40), num("W10", "length_ft", 40), word("W8", "size", "10 AWG"), word("W10", "size", "10 AWG")}
	edges(t, oneBlock, "fault.far-end-clears", []edge{
		{name: "short leads", at: "W8", from: "2/0 AWG, 4 ft: over 3.5 times 300 A"},
		{name: "a weak battery elsewhere", edits: []components.Edit{
			components.AddPart{Part: components.Part{ID: "BAT9", Kind: &components.Battery, At: components.Point{X: 60, Y: 640}, Spec: components.Spec{"chemistry": components.Str("flooded"), "nominal_v": components.Num(12), "capacity_ah": components.Num(60), "role": components.Str("starting")}}},
			components.AddPart{Part: components.Part{ID: "F9", Kind: &components.Fuse, At: components.Point{X: 160, Y: 640}, Spec: components.Spec{"family": components.Str("class-t"), "rating_a": components.Num(60)}}},
			wire("W91", "BAT9.pos", "F9.line", "+"), wire("W92", "F9.load", "SW9.line", "+"), wire("W93", "BAT9.neg", "BUS1.bar", "-"),
			num("W92", "length_ft", 30), word("W92", "size", "6 AWG")},
			at: "W8", from: "what it gives has to open its own F9, not F1"},
		{name: "long thin leads", edits: long, at: "W8", says: "A short at INV1.dc draws as little as", from: "closed form: 12.8 V over 80 ft of 10 AWG, some 120 A"},
	})
}

func TestHiddenStringFuseEdges(t *testing.T) {
	three := func(fuse components.Edit) []components.Edit { // 211.6 A / 3 strings = 70.55 A, and 125 % of it 88.2 A
		return []components.Edit{num("BAT1", "parallel", 3), num("BAT1", "capacity_ah", 100), fuse}
	}
	edges(t, oneBlock, "battery.per-string-fuse", []edge{
		{name: "125 % of a share", edits: three(num("BAT1", "string_fuse_a", 88.2)), at: "BAT1", from: "706.21(B): 125 %"},
		{name: "just below", edits: three(num("BAT1", "string_fuse_a", 88)), at: "BAT1", says: "should be 89 A or more and is 88 A", from: "706.21(B): 125 %"},
		{name: "far below", edits: three(num("BAT1", "string_fuse_a", 30)), at: "BAT1", says: "Each string of BAT1 carries up to 70.55 A", from: "706.21(B): 125 %"},
	})
}

func TestStepDownEdges(t *testing.T) {
	sd := func(takes float64) []components.Edit {
		return []components.Edit{
			components.AddPart{Part: components.Part{ID: "SD9", Kind: &components.DCConverter, At: components.Point{X: 900, Y: 600}, Spec: components.Spec{"in_v": components.Num(12.8), "out_v": components.Num(12), "output_a": components.Num(20)}}},
			components.AddPart{Part: components.Part{ID: "DL9", Kind: &components.DCLoad, At: components.Point{X: 1000, Y: 600}, Spec: components.Spec{"a": components.Num(takes)}}},
			wire("W91", "SW9.load", "SD9.in", "+"), wire("W92", "BUS1.bar", "SD9.in", "-"), wire("W93", "SD9.out", "DL9.in", "+"), wire("W94", "SD9.out", "DL9.in", "-"),
		}
	}
	edges(t, oneBlock, "supply.cannot-carry", []edge{
		{name: "as much as it gives", edits: sd(20), at: "SD9", from: "its label: 20 A"},
		{name: "and the state runs", edits: sd(20), at: "BAT1", from: "its label: 20 A"},
		{name: "a little more", edits: sd(20.1), at: "SD9", says: "SD9 gives 20 A, and the loads behind it take 20.1 A together", from: "its label: 20 A"},
	})
}

// A short melts aluminum sooner than copper of the same size: 12 AWG copper bears 119 kA²s
// from 75 to 150 °C, aluminum 52 kA²s; a class T fuse of 100 A lets 80 kA²s through.
func TestAluminumWithstandEdges(t *testing.T) {
	rig := "../../testdata/rules/fault.conductor-withstand.yaml"
	edges(t, rig, "fault.conductor-withstand", []edge{
		{name: "copper", edits: []components.Edit{num("F1", "rating_a", 100), word("W20", "size", "12 AWG")}, at: "W20", from: "UL 248-15: 80 kA²s < 119 kA²s"},
		{name: "aluminum", edits: []components.Edit{num("F1", "rating_a", 100), word("W20", "size", "12 AWG"), word("W20", "metal", "aluminum")}, at: "W20", says: "A short on W20 draws", from: "ICEA P-32-382, aluminum from memory"},
	})
}

// Two lead-acid batteries side by side with one main fuse are common, and advice; a
// jumper longer than 18 in is a positive conductor that nothing protects.
func TestJumperEdges(t *testing.T) {
	second := components.AddPart{Part: components.Part{ID: "BAT9", Kind: &components.Battery, At: components.Point{X: 60, Y: 640}, Spec: components.Spec{
		"chemistry": components.Str("agm"), "nominal_v": components.Num(12), "capacity_ah": components.Num(200)}}}
	two := func(more ...components.Edit) []components.Edit {
		return append([]components.Edit{word("BAT1", "chemistry", "agm"), num("BAT1", "nominal_v", 12), second, wire("W91", "BAT1.pos", "BAT9.pos", "+"), wire("W92", "BAT1.neg", "BAT9.neg", "-")}, more...)
	}
	edges(t, oneBlock, "overcurrent.battery-unfused", []edge{
		{name: "a jumper of 18 in", edits: two(num("W91", "length_ft", 1.5)), at: "BAT1.pos", from: "552.10(E)(4): 18 in"},
		{name: "a longer one", edits: two(num("W91", "length_ft", 1.6)), at: "BAT1.pos", says: "No fuse or breaker between BAT1.pos and BAT9.pos", from: "552.10(E)(4): 18 in"},
		{name: "of no known length", edits: two(unknown("W91", "length_ft")), at: "BAT1.pos", says: "No fuse or breaker between BAT1.pos and BAT9.pos", from: "552.10(E)(4): not known to be within it"},
	})
	edges(t, oneBlock, "battery.per-string-fuse", []edge{
		{name: "two of lead", edits: two(), at: "BAT1.pos", says: "BAT1 joins BAT9 with no fuse of its own", from: "practice: advice for two of lead"},
	})
}
