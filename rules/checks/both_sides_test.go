package checks

import (
	"slices"
	"testing"

	"rigline/components"
)

// gone takes a run out.
func gone(runs ...components.ID) (edits []components.Edit) {
	for _, id := range runs {
		edits = append(edits, components.RemoveRun{ID: id})
	}
	return edits
}

func TestBatterySides(t *testing.T) {
	rig := func(rule string) string { return "../../testdata/rules/" + rule + ".yaml" }
	edges(t, rig("battery.gassing-space"), "battery.gassing-space", []edge{
		{"in one bay", nil, "BAT1", "INV1, SW9 stands there too", false, "480.10(A) from memory"},
		{"sealed", []components.Edit{word("BAT1", "chemistry", "agm")}, "BAT1", "", false, "common practice: sealed ones need no box"},
		{"apart", []components.Edit{word("INV1", "space", "cab"), word("SW9", "space", "cab")}, "BAT1", "", false, "480.10(A) from memory"},
		{"the switch alone", []components.Edit{word("INV1", "space", "cab")}, "BAT1", "SW9 stands there too", false, "480.10(A) from memory"},
		{"not told where", []components.Edit{unknown("BAT1", "space")}, "BAT1", "space of BAT1 is not told", true, "nothing to compare"},
	})
	edges(t, rig("battery.per-string-fuse"), "battery.per-string-fuse", []edge{
		{"two lithium strings", nil, "BAT2.pos", "BAT2 joins BAT1 with no fuse of its own", false, "common practice: two lithium strings"},
		{"two lead strings", []components.Edit{word("BAT1", "chemistry", "agm"), word("BAT2", "chemistry", "agm"), num("BAT1", "nominal_v", 12), num("BAT2", "nominal_v", 12)}, "BAT2.pos", "with no fuse of its own", false, "690.9(A): 1 other string; advice for two of lead, common practice"},
		{"one string", append(gone("W16", "W17"), components.RemovePart{ID: "BAT2"}), "BAT1", "", false, "nothing feeds it from behind"},
		{"two in one symbol", append(gone("W16", "W17"), components.RemovePart{ID: "BAT2"}, num("BAT1", "parallel", 2)), "BAT1", "stands for 2 strings in parallel", true, "no fuse on each is told"},
		{"two in one symbol, fused", append(gone("W16", "W17"), components.RemovePart{ID: "BAT2"}, num("BAT1", "parallel", 2), num("BAT1", "string_fuse_a", 200)), "BAT1", "", false, "each has its own"},
	})
	edges(t, rig("battery.bms-single-trip"), "battery.bms-single-trip", []edge{
		{"two of 150 A", nil, "BAT1", "the others may give 150 A and are asked for 211.6 A", false, "300 − 150 A < 211.6 A"},
		{"just below", []components.Edit{num("BAT1", "discharge_a", 211)}, "BAT1", "the others may give 211 A", false, "211 A < 211.6 A"},
	})
	edges(t, rig("overcurrent.battery-unfused"), "overcurrent.battery-unfused", []edge{
		{"none", nil, "BAT1.pos", "No fuse or breaker between BAT1.pos and INV1.dc", false, "183.455(a)"},
	})
	edges(t, oneBlock, "overcurrent.battery-unfused", []edge{
		{"fused", nil, "BAT1.pos", "", false, "183.455(a)"},
	})
	edges(t, rig("overcurrent.source-distance"), "overcurrent.source-distance", []edge{
		{"36 in", nil, "F1", "F1 stands 36 in from BAT1.pos", false, "552.10(E)(4): 18 in"},
		{"18 in", []components.Edit{num("W7", "length_ft", 1.5)}, "F1", "", false, "552.10(E)(4): 18 in"},
		{"just above", []components.Edit{num("W7", "length_ft", 1.51)}, "F1", "18 in is the limit", false, "552.10(E)(4): 18 in"},
		{"not measured", []components.Edit{unknown("W7", "length_ft")}, "W7", "the length of W7, between BAT1 and F1", true, "nothing to measure"},
	})
	edges(t, rig("overcurrent.voltage-rating"), "overcurrent.voltage-rating", []edge{
		{"14 V", nil, "SW1", "SW1 is rated 14 V DC, but its circuit reaches 14.6 V", false, "183.455(d); data sheets: 14.6 V"},
		{"at the limit", []components.Edit{num("SW1", "volts_dc", 14.6)}, "SW1", "", false, "183.455(d): not below"},
		{"just below", []components.Edit{num("SW1", "volts_dc", 14.5)}, "SW1", "reaches 14.6 V", false, "183.455(d)"},
		{"not told", []components.Edit{set("SW1", "volts_dc", components.Value{})}, "SW1", "the DC voltage rating of SW1", true, "unread"},
	})
	edges(t, rig("overcurrent.rating-above-continuous"), "overcurrent.rating-above-continuous", []edge{
		{"200 A", nil, "F1", "it should be 265 A or more and is 200 A", false, "706.21(B): 1.25 × 211.6 A = 264.6 A"},
		{"just below", []components.Edit{num("F1", "rating_a", 264)}, "F1", "is 264 A", false, "706.21(B): 264.6 A"},
		{"at the limit", []components.Edit{num("F1", "rating_a", 265)}, "F1", "", false, "706.21(B): 264.6 A"},
		{"not told", []components.Edit{unknown("F1", "rating_a")}, "F1", "the rating of F1 is not known", true, "unread"},
	})
	edges(t, rig("overcurrent.rating-within-ampacity"), "overcurrent.rating-within-ampacity", []edge{
		{"350 A on 2 AWG", nil, "W8", "W8 (2 AWG) is good for 210 A, but only F1, 350 A", false, "Table 5: 210 A; 150 % is 315 A"},
		{"at 150 %", []components.Edit{num("F1", "rating_a", 315)}, "W8", "is good for 210 A, but only F1, 315 A", false, "183.455(c): up to 150 % is law and no good practice: advice"},
		{"the next standard size", []components.Edit{num("F1", "rating_a", 225)}, "W8", "", false, "240.4(B), 240.6: 225 A follows 210 A"},
		{"not told", []components.Edit{unknown("W8", "size")}, "W8", "the size of W8", true, "nothing to look up"},
		{"the metal not known", []components.Edit{unknown("W8", "metal"), num("F1", "rating_a", 200)}, "W8", "metal of W8 is not known", true, "aluminum counts as two sizes smaller"},
	})
	edges(t, rig("conductor.copper-stranded-only"), "conductor.copper-stranded-only", []edge{
		{"copper", []components.Edit{set("W10", "metal", components.Value{})}, "W10", "", false, "ABYC E-11: stranded copper"},
	})
}

func TestBondingSides(t *testing.T) {
	rig := func(rule string) string { return "../../testdata/rules/" + rule + ".yaml" }
	edges(t, oneBlock, "bonding.chassis-bond", []edge{
		{"8 AWG", nil, "PNL1", "", false, "551.56: 8 AWG copper"},
		{"10 AWG", []components.Edit{word("W6", "size", "10 AWG")}, "PNL1", "8 AWG", false, "551.56: 8 AWG copper"},
		{"not told", []components.Edit{unknown("W6", "size")}, "PNL1", "the size of W6", true, "unread"},
	})
	edges(t, rig("bonding.chassis-bond-size"), "bonding.chassis-bond-size", []edge{
		{"8 AWG", nil, "W12", "W12 is 8 AWG, smaller than", false, "as the largest positive, 2/0 AWG"},
		{"one size below", []components.Edit{word("W12", "size", "1/0 AWG")}, "W12", "W12 is 1/0 AWG, smaller than", false, "as the largest positive, 2/0 AWG"},
		{"as large", []components.Edit{word("W12", "size", "2/0 AWG")}, "W12", "", false, "as the largest positive, 2/0 AWG"},
		{"not told", []components.Edit{unknown("W12", "size")}, "W12", "the size of the chassis bond W12", true, "unread"},
		{"the lead not told", []components.Edit{word("W12", "size", "2/0 AWG"), unknown("W8", "size")}, "W8", "the chassis bond BJ1 cannot be held to it", true, "nothing to compare"},
	})
	edges(t, rig("bonding.dc-grounding-conductor-size"), "bonding.dc-grounding-conductor-size", []edge{
		{"6 AWG", nil, "INV1", "W13 of INV1 is 6 AWG; its DC positive W8 is 2/0 AWG", false, "ABYC E-11: one size below, 1/0 AWG"},
		{"two sizes below", []components.Edit{word("W13", "size", "1 AWG")}, "INV1", "W13 of INV1 is 1 AWG", false, "ABYC E-11: one size below, 1/0 AWG"},
		{"one size below", []components.Edit{word("W13", "size", "1/0 AWG")}, "INV1", "", false, "ABYC E-11: one size below"},
		{"the lead not told", []components.Edit{unknown("W8", "size")}, "W8", "the size of W8", true, "nothing to compare"},
	})
	edges(t, rig("bonding.source-frames"), "bonding.source-frames", []edge{
		{"10 AWG", nil, "INV1", "W13 of INV1 is 10 AWG; 8 AWG copper is the least", false, "551.20(C): 8 AWG"},
		{"8 AWG", []components.Edit{word("W13", "size", "8 AWG")}, "INV1", "", false, "551.20(C): 8 AWG"},
		{"none", gone("W13"), "INV1", "case of INV1 has no ground", false, "551.20(C)"},
		{"not told", []components.Edit{unknown("W13", "size")}, "INV1", "the size of the case ground W13", true, "unread"},
	})
	edges(t, rig("bonding.ground-path-unbroken"), "bonding.ground-path-unbroken", []edge{
		{"a feed without its ground", nil, "SH1", "The ground of LD1 does not lead back to SH1", false, "250.4(A)(5)"},
	})
	edges(t, oneBlock, "bonding.ground-path-unbroken", []edge{
		{"whole", nil, "SH1", "", false, "250.4(A)(5)"},
	})
	edges(t, rig("bonding.single-chassis-bond"), "bonding.single-chassis-bond", []edge{
		{"two", nil, "BAT1", "meets the chassis at 2 places: BJ1, W14", false, "ABYC E-11: one place"},
		{"one", gone("W14"), "BAT1", "", false, "ABYC E-11: one place"},
		{"none", gone("W14", "W12"), "BAT1", "nowhere bonded", false, "a positive on the frame opens no fuse"},
	})
}

func TestConductorSides(t *testing.T) {
	rig := func(rule string) string { return "../../testdata/rules/" + rule + ".yaml" }
	edges(t, rig("conductor.crossed-poles"), "conductor.crossed-poles", []edge{
		{"minus to plus", nil, "W14", "W14 joins the negative of BUS1.bar to the positive of INV1.dc", false, "Ohm's law"},
	})
	edges(t, oneBlock, "conductor.crossed-poles", []edge{
		{"each to its own", nil, "W10", "", false, "Ohm's law"},
	})
	below := components.Part{ID: "BAT9", Kind: &components.Battery, At: components.Point{X: 120, Y: 400}, Spec: components.Spec{"chemistry": components.Str("lfp"), "nominal_v": components.Num(12.8), "capacity_ah": components.Num(200)}}
	lead := func(id components.ID, from, to, core string) components.Edit {
		a, _ := components.ParsePortRef(from)
		b, _ := components.ParsePortRef(to)
		c, _ := components.ParseCore(core)
		return components.AddRun{Run: components.Run{ID: id, From: a, To: b, Cores: []components.Core{c}, Spec: components.Spec{"size": components.Str("2/0 AWG"), "cable": components.Str("battery-105"), "length_ft": components.Num(1)}}}
	}
	series := append(gone("W9"), components.AddPart{Part: below}, lead("W9", "BAT1.neg", "BAT9.pos", "->+"), lead("W92", "BAT9.neg", "BUS1.bar", "-"), num("INV1", "dc_v", 25.6))
	edges(t, oneBlock, "conductor.crossed-poles", []edge{
		{"two symbols in series", series, "W9", "one battery of blocks in series says it in less", false, "a battery's symbol stands for its blocks"},
		{"and in parallel as well", append(series[:len(series):len(series)], lead("W95", "BAT1.pos", "BAT9.pos", "+")), "W9", "joins the negative of BAT1.neg to the positive of BAT9.pos", false, "Ohm's law: a short"},
	})
	edges(t, oneBlock, "conductor.dc-return", []edge{
		{"over two in series", series, "INV1", "", false, "Kirchhoff's laws"},
	})
	edges(t, rig("conductor.loose-end"), "conductor.loose-end", []edge{
		{"live and bare", nil, "J1", "W20 ends loose at J1", false, "110.14(B) from memory"},
		{"taken out", append(gone("W20"), components.RemovePart{ID: "J1"}), "J1", "", false, "110.14(B) from memory"},
	})
	edges(t, rig("conductor.crossed-poles"), "supply.cannot-carry", []edge{
		{"a short across the inverter", nil, "INV1", "falls below 70", false, "Kirchhoff's laws"},
		{"without it", gone("W14"), "INV1", "", false, "Kirchhoff's laws"},
	})
}

func TestParallelSides(t *testing.T) {
	rig := "../../testdata/rules/overcurrent.not-in-parallel.yaml"
	edges(t, rig, "overcurrent.not-in-parallel", []edge{
		{"side by side", nil, "F2", "F1 and F2 join the same two conductors", false, "240.8"},
		{"one taken off", gone("W21"), "F2", "", false, "240.8"},
		{"a rating not told", []components.Edit{unknown("F2", "rating_a")}, "F2", "F1 and F2 join", false, "240.8, whatever their ratings"},
	})
	edges(t, "../../testdata/topologies/t04.yaml", "overcurrent.not-in-parallel", []edge{
		{"each string its own", nil, "F2", "", false, "240.8: their batteries are apart"},
	})
}

func TestNeutralSides(t *testing.T) {
	const loop = "300.3(B) from memory: one way back"
	edges(t, "../../testdata/rules/neutral.one-way-back.yaml", "neutral.one-way-back", []edge{
		{"two ways", nil, "W20", "The neutral of W20 joins LD1.in and CB1.line", false, loop},
		{"the first one off", []components.Edit{components.Reroute{ID: "W5", From: components.PortRef{Part: "PNL1", Port: "c1"}, To: components.PortRef{Part: "LD1", Port: "in"}, Cores: []components.Core{{From: components.L, To: components.L}, {From: components.G, To: components.G}}}}, "W20", "", false, "neutral.returns-to-own-source speaks"},
	})
	edges(t, oneBlock, "neutral.one-way-back", []edge{
		{"one way", nil, "W5", "", false, loop},
	})
	edges(t, "../../testdata/topologies/t05.yaml", "neutral.one-way-back", []edge{
		{"two units side by side", nil, "W36", "", false, "each brings its hot along"},
	})
}

func TestCordSides(t *testing.T) {
	const made = "make-up of listed cord sets, common practice: 12 AWG 20 A, 10 AWG 30 A"
	edges(t, "../../testdata/topologies/t09.yaml", "cord.ampacity", []edge{
		{"10 AWG from a generator of 30 A", nil, "W1", "", false, made},
		{"12 AWG from a generator of 30 A", []components.Edit{word("W1", "size", "12 AWG")}, "W1", "a 30 A set has 10 AWG", false, made},
		{"12 AWG from one of 20 A", []components.Edit{word("W1", "size", "12 AWG"), num("GEN1", "breaker_a", 20)}, "W1", "", false, made},
		{"12 AWG from one of 21 A", []components.Edit{word("W1", "size", "12 AWG"), num("GEN1", "breaker_a", 21)}, "W1", "a 30 A set has 10 AWG", false, made},
		{"its breaker not told", []components.Edit{word("W1", "size", "12 AWG"), unknown("GEN1", "breaker_a")}, "W1", "a 30 A set has 10 AWG", false, "the inlet of 30 A decides"},
		{"not told", []components.Edit{unknown("W1", "size")}, "W1", "the size of the cord W1", true, "unread jacket"},
	})
	set18 := []components.Edit{word("W36", "cable", "cord-shore"), word("W36", "size", "18 AWG")}
	edges(t, "../../testdata/topologies/t04.yaml", "conductor.ampacity-covers-overcurrent", []edge{
		{"a cord set as a branch circuit", set18, "W36", "is good for 10 A", false, "400.5(A)(1): 18 AWG 10 A behind 20 A"},
		{"one that plugs into the inlet", nil, "W1", "", false, "551.46: its listing speaks for it"},
	})
	edges(t, "../../testdata/topologies/t04.yaml", "conductor.small-wire-cap", []edge{
		{"a cord set as a branch circuit", set18, "W36", "allows 7 A", false, "240.4(D): 18 AWG 7 A"},
	})
}

func TestReturnSides(t *testing.T) {
	rig := func(rule string) string { return "../../testdata/rules/" + rule + ".yaml" }
	edges(t, rig("conductor.dc-return"), "conductor.dc-return", []edge{
		{"none at the inverter", nil, "INV1", "no negative leads back", false, "Kirchhoff's laws"},
		{"the positive off as well", gone("W8"), "INV1", "", false, "nothing goes out"},
	})
	edges(t, oneBlock, "conductor.dc-return", []edge{
		{"there and back", nil, "INV1", "", false, "Kirchhoff's laws"},
		{"the bank's own negative off", gone("W9"), "INV1", "no negative leads back", false, "Kirchhoff's laws"},
	})
	frame := func(id, from string) components.Edit {
		at, _ := components.ParsePortRef(from)
		return components.AddRun{Run: components.Run{ID: components.ID(id), From: at, To: components.PortRef{Part: "CH1", Port: "stud"}, Cores: []components.Core{{From: components.Neg, To: components.G}},
			Spec: components.Spec{"size": components.Str("14 AWG"), "cable": components.Str("primary-105"), "length_ft": components.Num(3)}}}
	}
	blockFuse := func(amps float64) components.Edit {
		block, _ := load(t, "../../testdata/rigs/survey-truck.yaml").Part("DCP1")
		rows := slices.Clone(block.Spec["circuits"].Rows())
		rows[0] = rows[0].With("fuse_a", components.Num(amps))
		return set("DCP1", "circuits", components.Table(rows...))
	}
	plus := components.Reroute{ID: "W16", From: components.PortRef{Part: "DCP1", Port: "c1"}, To: components.PortRef{Part: "DL1", Port: "in"}, Cores: []components.Core{{From: components.Pos, To: components.Pos}}}
	edges(t, "../../projects/samples/camper-van.yaml", "conductor.dc-return", []edge{
		{"an alternator with its negative", nil, "ALT1", "", false, "Kirchhoff: out and back"},
		{"an alternator without", gone("W36"), "ALT1", "nothing brings it back: look for the strap", false, "Kirchhoff: out and back"},
		{"over engine and frame", append(gone("W36"), components.AddRun{Run: components.Run{ID: "W99", From: components.PortRef{Part: "ALT1", Port: "out"}, To: components.PortRef{Part: "CH1", Port: "stud"},
			Cores: []components.Core{{From: components.Neg, To: components.G}}}}, components.AddRun{Run: components.Run{ID: "W98", From: components.PortRef{Part: "BAT2", Port: "neg"}, To: components.PortRef{Part: "CH1", Port: "stud"},
			Cores: []components.Core{{From: components.Neg, To: components.G}}}}), "ALT1", "", false, "the vehicle's own alternator may return over the frame"},
	})
	edges(t, "../../testdata/rigs/survey-truck.yaml", "conductor.dc-return", []edge{
		{"a lamp over the frame", []components.Edit{plus, frame("W90", "DL1.in"), blockFuse(15)}, "DL1", "", false, "common practice: lamps come back over the frame, up to 15 A"},
		{"behind more than 15 A", []components.Edit{plus, frame("W90", "DL1.in"), blockFuse(20)}, "DL1", "over the frame alone", false, "ABYC E-11: two wires, from memory"},
		{"a critical one", []components.Edit{plus, frame("W90", "DL1.in"), blockFuse(15), yes("DL1", "critical")}, "DL1", "over the frame alone", false, "ABYC E-11: two wires, from memory"},
		{"a lamp with no return", []components.Edit{plus}, "DL1", "no negative leads back", false, "Kirchhoff's laws"},
		{"the engine's own battery over the frame", gone("W26"), "DDC1", "", false, "common practice: the vehicle returns over its frame"},
		{"the fuse block's negative off", gone("W15"), "DCP1", "no negative leads back", false, "Kirchhoff's laws"},
		{"which its lamps do not repeat", gone("W15"), "DL1", "", false, "told once, at the block"},
	})
	edges(t, rig("supply.leads-nowhere"), "supply.leads-nowhere", []edge{
		{"behind its breaker is nothing", nil, "GEN1", "No conductor leads from out of GEN1", false, "common practice"},
		{"not joined to anything yet", gone("W20"), "GEN1", "", false, "a drawing under way"},
		{"the site leads on", nil, "SH1", "", false, "common practice"},
		{"the feeder taken off", gone("W2"), "SH1", "No conductor leads from out of SH1", false, "common practice"},
	})
	// Two strings of 100 Ah take 20 A each of 40 A.
	edges(t, "../../testdata/rigs/survey-truck.yaml", "battery.parallel-balance", []edge{
		{"each within its own", []components.Edit{num("BAT1", "charge_a", 21)}, "BAT1", "", false, "Kirchhoff: half of 40 A"},
		{"one above its own", []components.Edit{num("BAT1", "charge_a", 19)}, "BAT1", "of the charge of its bank and accepts 19 A", false, "Kirchhoff: half of 40 A"},
		{"the weaker gives too much", []components.Edit{num("BAT2", "discharge_a", 4)}, "BAT2", "may give 4 A", false, "Kirchhoff: half of 10 A of the loads"},
	})
}

func TestTransferSides(t *testing.T) {
	rig := func(rule string) string { return "../../testdata/rules/" + rule + ".yaml" }
	edges(t, rig("transfer.never-parallel"), "transfer.never-parallel", []edge{
		{"on one breaker", nil, "GEN1", "GEN1 and SH1 feed the same conductor", false, "702.5"},
		{"the generator's hot taken off", []components.Edit{components.Reroute{ID: "W14", From: components.PortRef{Part: "GEN1", Port: "out"}, To: components.PortRef{Part: "CB1", Port: "line"}, Cores: []components.Core{{From: components.G, To: components.G}}}}, "GEN1", "", false, "702.5"},
	})
	edges(t, rig("transfer.no-live-inlet-pins"), "transfer.no-live-inlet-pins", []edge{
		{"an inverter on the inlet's panel", nil, "INL1", "INV1 puts 120 V on the bare pins of INL1", false, "551.30(E)"},
		{"its output taken off", gone("W4"), "INL1", "", false, "551.30(E)"},
	})
	edges(t, rig("transfer.poles-match-system"), "transfer.poles-match-system", []edge{
		{"a solid neutral between two bonds", nil, "TS1", "TS1 leaves the neutral solid", false, "250.30"},
		{"a switched neutral", []components.Edit{set("TS1", "switches", components.Words("L", "N"))}, "TS1", "", false, "250.30"},
		{"a floating generator", []components.Edit{no("GEN1", "bonded")}, "TS1", "", false, "250.20: one bond in all"},
	})
	edges(t, rig("transfer.rating-not-below-feed"), "transfer.rating-not-below-feed", []edge{
		{"20 A behind 30 A", nil, "TS1", "TS1 is rated 20 A", false, "702.5"},
		{"just below", []components.Edit{num("TS1", "rating_a", 29)}, "TS1", "TS1 is rated 29 A", false, "29 A < 30 A"},
		{"at it", []components.Edit{num("TS1", "rating_a", 30)}, "TS1", "", false, "30 A on 30 A"},
		{"not told", []components.Edit{unknown("TS1", "rating_a")}, "TS1", "rating_a of TS1", true, "unread"},
	})
	edges(t, rig("neutral.isolated-in-vehicle-panel"), "neutral.isolated-in-vehicle-panel", []edge{
		{"the screw left in", nil, "PNL1", "The neutral bar of PNL1 is bonded", false, "551.54(C)"},
		{"taken out", []components.Edit{no("PNL1", "neutral_bonded")}, "PNL1", "", false, "551.54(C)"},
		{"not known", []components.Edit{unknown("PNL1", "neutral_bonded")}, "PNL1", "whether the neutral of PNL1 is bonded", true, "a meter tells"},
	})
	edges(t, rig("neutral.one-bond-per-state"), "neutral.one-bond-per-state", []edge{
		{"none while inverting", nil, "INV1", "with no neutral-to-ground bond", false, "250.24, 551.30"},
	})
	edges(t, rig("neutral.bond-relay-follows-transfer"), "neutral.bond-relay-follows-transfer", []edge{
		{"a fixed screw", nil, "INV1", "is bonded by a fixed screw", false, "551.30"},
	})
	edges(t, rig("panel.no-source-loop"), "panel.no-source-loop", []edge{
		{"output back to its own bar", nil, "INV1", "comes back to its own input over W16", false, "551.33"},
	})
	edges(t, rig("load.in-phase-shared-neutral"), "load.in-phase-shared-neutral", []edge{
		{"30 A twice on 10 AWG", nil, "W2", "neutral of W2 can carry", false, "310.16: 30 A; the sum is 58.3 A"},
		{"opposite legs", []components.Edit{word("GEN1", "legs", "opposite")}, "W2", "", false, "the neutral carries the difference"},
		{"the breakers not told", []components.Edit{unknown("GEN1", "breaker_a")}, "W2", "the breakers ahead of W2 are not known", true, "the sum is open"},
	})
	edges(t, rig("load.240v-needs-split-phase"), "load.240v-needs-split-phase", []edge{
		{"legs in phase", nil, "LD2", "needs 240 V and gets none here", false, "Ohm's law"},
		{"in every state that is told", []components.Edit{components.SetStates{States: []components.State{{Name: "Adapter", Shore: "30a-120-adapter", SoC: 0.5}}}}, "LD2", "gets it in no state", false, "Ohm's law"},
		{"off in it", []components.Edit{components.SetStates{States: []components.State{{Name: "Adapter", Shore: "30a-120-adapter", SoC: 0.5, Off: []components.ID{"LD2"}}}}}, "LD2", "", false, "nothing is asked of it"},
	})
	edges(t, rig("load.demand-within-main"), "load.demand-within-main", []edge{
		{"all on", nil, "PNL1.main", "asks for 56.25 A alone", false, "220.60, 215.3: 125 % of what runs for hours > 50 A"},
		{"a power not told", []components.Edit{unknown("LD1", "va")}, "LD1", "va of LD1 is not known", true, "nothing to add up"},
	})
	edges(t, rig("load.inverter-capacity"), "load.inverter-capacity", []edge{
		{"what it surges to not known", []components.Edit{unknown("INV1", "surge_va")}, "INV1", "surge_va of INV1", true, "nothing to compare"},
	})
	edges(t, rig("disconnect.precharge"), "disconnect.precharge", []edge{
		{"a resistor not looked for", []components.Edit{unknown("SW9", "precharge_ohm")}, "SW9", "precharge_ohm of SW9", true, "a survey that has not looked"},
	})
	edges(t, "../../testdata/topologies/t12.yaml", "busbar.four-terminals-per-stud", []edge{
		{"the studs not counted", []components.Edit{unknown("BUS1", "studs")}, "BUS1", "studs of BUS1", true, "nothing to compare"},
	})
	edges(t, rig("gfci.neutral-not-crossed"), "gfci.neutral-not-crossed", []edge{
		{"not looked at", []components.Edit{withRows("PNL1", circuitRow("", 15), components.Spec{"breaker_a": components.Num(15), "gfci": components.Unknown})}, "PNL1.c2", "gfci of PNL1 circuit 2", true, "a test button tells"},
	})
	edges(t, rig("inverter.leg-topology"), "inverter.leg-topology", []edge{
		{"a shared neutral in phase", nil, "PNL1", "INV1 feeds both bars of PNL1 in phase", false, "710.15(C)"},
	})
	edges(t, rig("inverter.no-autotransformer"), "inverter.no-autotransformer", []edge{
		{"one", nil, "AT1", "AT1 is an autotransformer", false, "551.20(E)"},
	})
	edges(t, rig("inverter.listed-for-vehicles"), "inverter.listed-for-vehicles", []edge{
		{"for buildings", nil, "INV1", "listed to UL 1741", false, "551.20(B)"},
	})
	edges(t, rig("generator.leads-115-percent"), "generator.leads-115-percent", []edge{
		{"8 AWG", nil, "W14", "must carry 52.71 A", false, "445.13: 52.7 A > 40 A"},
	})
	edges(t, rig("generator.feeder-protection"), "generator.feeder-protection", []edge{
		{"none", nil, "GEN1", "has no breaker of its own", false, "445.12"},
	})
	// The rigs as their first repair leaves them.
	edges(t, rig("cord.adapter-changes-protection.fixed"), "cord.adapter-changes-protection", []edge{
		{"put right", nil, "W1", "", false, "551.45(C): a main of the inlet's rating"},
	})
	edges(t, rig("shunt.all-negatives-through.fixed"), "shunt.all-negatives-through", []edge{
		{"put right", nil, "W10", "", false, "common practice: every negative through the shunt"},
	})
	edges(t, rig("shunt.no-bypass-path.fixed"), "shunt.no-bypass-path", []edge{
		{"put right", nil, "BJ1", "", false, "common practice: the bond on the system's side"},
	})
}
