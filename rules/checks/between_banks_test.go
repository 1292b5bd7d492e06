package checks

import (
	"slices"
	"testing"

	"rigline/components"
)

func TestChargerDirectionEdges(t *testing.T) {
	rig := "../../testdata/rules/alternator.dcdc-direction.yaml"
	const practice = "common practice, no source"
	edges(t, rig, "alternator.dcdc-direction", []edge{
		{"from the house bank", nil, "DDC1", "its input and output are crossed", false, practice},
		{"what keeps a starting battery full", []components.Edit{num("DDC1", "output_a", 10)}, "DDC1", "", false, practice},
		{"just above that", []components.Edit{num("DDC1", "output_a", 11)}, "DDC1", "its input and output are crossed", false, practice},
		{"an output that nobody read", []components.Edit{unknown("DDC1", "output_a")}, "DDC1", "output_a of DDC1 is not known", true, practice},
		{"another one charges the bank", []components.Edit{
			components.AddPart{Part: components.Part{ID: "DDC2", Kind: &components.DCCharger, At: components.Point{X: 860, Y: 1100}, Spec: components.Spec{"output_a": components.Num(30), "in_v": components.Num(12), "out_v": components.Num(12.8)}}},
			oneCore("W91", "BAT3.pos", "DDC2.in", components.Pos), oneCore("W92", "BAT3.neg", "DDC2.in", components.Neg), oneCore("W93", "DDC2.out", "BUS2.bar", components.Pos), oneCore("W94", "DDC2.out", "BUS4.bar", components.Neg),
		}, "DDC1", "", false, practice},
	})
	edges(t, "../../testdata/rules/alternator.dcdc-direction.fixed.yaml", "alternator.dcdc-direction", []edge{
		{"turned round", nil, "DDC1", "", false, practice},
	})
}

func TestStartingReserveEdges(t *testing.T) {
	const practice = "common practice, no source"
	edges(t, "../../testdata/rules/battery.starting-reserve.yaml", "battery.starting-reserve", []edge{
		{"a fridge", nil, "BAT3", "hangs DL4", false, practice},
		{"the vehicle's own", []components.Edit{components.Describe{ID: "DL4", Name: "Radio", Status: components.Existing}}, "BAT3", "", false, practice},
		{"an alarm", []components.Edit{yes("DL4", "always_on")}, "BAT3", "", false, practice},
		{"no house bank", []components.Edit{word("BAT1", "role", "starting"), word("BAT2", "role", "starting")}, "BAT3", "", false, practice},
	})
	edges(t, "../../testdata/rules/battery.starting-reserve.fixed.yaml", "battery.starting-reserve", []edge{
		{"on the bars of the house bank", nil, "BAT3", "", false, practice},
	})
}

func TestParallelStringsEdges(t *testing.T) {
	const iec = "IEC 62548, from memory: within 5 %"
	edges(t, "../../testdata/rules/solar.parallel-strings-alike.yaml", "solar.parallel-strings-alike", []edge{
		{"three beside two", nil, "PV2", "PV2 of 66 V and PV1 of 44 V", false, iec},
		{"5 % more", []components.Edit{num("PV2", "series", 2), num("PV2", "voc_v", 23.15)}, "PV2", "", false, iec},
		{"a little more than that", []components.Edit{num("PV2", "series", 2), num("PV2", "voc_v", 23.2)}, "PV2", "PV2 of 46.4 V and PV1 of 44 V", false, iec},
		{"another controller's", []components.Edit{components.RemoveRun{ID: "W21"}}, "PV2", "", false, iec},
	})
}

// oneCore is a run of one pole.
func oneCore(id components.ID, from, to string, pole components.Pole) components.Edit {
	return components.AddRun{Run: components.Run{ID: id, From: port(from), To: port(to), Cores: []components.Core{{From: pole, To: pole}},
		Spec: components.Spec{"size": components.Str("4 AWG"), "cable": components.Str("battery-105"), "length_ft": components.Num(5)}}}
}

// What the rigs of testdata/rigs have that no want-file has: strings drawn as several
// batteries, a buffer behind a step-down, a relay between the banks, a carried set.
func TestRigEdges(t *testing.T) {
	rig := func(name string) string { return "../../testdata/rigs/" + name + ".yaml" }
	toFrame := func(id components.ID, from string) components.Edit {
		e := oneCore(id, from, "CH1.stud", components.Neg).(components.AddRun)
		e.Run.Cores[0].To = components.G
		return e
	}
	const practice = "common practice, no source"
	edges(t, rig("series-camper"), "battery.per-string-fuse", []edge{
		{"strings apart", nil, "BAT1", "", false, practice},
		{"tied in the middle", []components.Edit{oneCore("W91", "BAT1.neg", "BAT3.neg", components.Neg)}, "BAT1", "are tied below them", false, practice},
	})
	edges(t, rig("series-camper"), "battery.string-uniformity", []edge{
		{"the middle on the frame", []components.Edit{toFrame("W91", "BAT1.neg")}, "W91", "BAT2 is shorted over it", false, "Ohm's law"},
		{"the bank's negative on the frame", []components.Edit{toFrame("W91", "BUS2.bar")}, "W91", "", false, "bonding.single-chassis-bond counts the bonds"},
		{"the vehicle's battery on the bank of 24 V", []components.Edit{oneCore("W91", "BAT5.pos", "BUS1.bar", components.Pos)}, "BAT5", "BAT5 of 12 V stands in parallel with BAT1 of 25.6 V", false, "Kirchhoff's laws"},
	})
	edges(t, rig("series-camper"), "conductor.dc-return", []edge{
		{"a string's negative off", gone("W4"), "BAT1", "the negative of its string, at BAT2", false, "Kirchhoff's laws"},
	})
	edges(t, rig("buffered-trailer"), "bonding.single-chassis-bond", []edge{
		{"the two negatives joined", nil, "BAT3", "", false, practice},
		{"over the step-down alone", gone("W30"), "BAT3", "nowhere bonded", false, practice},
	})
	edges(t, rig("buffered-trailer"), "overcurrent.rating-above-continuous", []edge{
		{"no more than the step-down gives", nil, "F5", "", false, "125 % of 30 A are 37.5 A"},
		{"its own rating counts", []components.Edit{num("SD1", "output_a", 33)}, "F5", "F5 carries up to 33 A", false, "125 % of 33 A > 40 A"},
	})
	edges(t, rig("buffered-trailer"), "battery.voltage-class", []edge{
		{"its output on the bank", []components.Edit{components.Reroute{ID: "W28", From: port("F5.line"), To: port("BUS1.bar"), Cores: []components.Core{{From: components.Pos, To: components.Pos}}}}, "SD1", "puts its out terminals on 51.2 V", false, "data sheets"},
	})
	edges(t, rig("relay-van"), "charger.total-current-limit", []edge{
		{"an alternator on lead", nil, "BAT2", "lead takes that much of it only while it is deeply empty", false, practice},
		{"a smaller one", []components.Edit{num("ALT1", "rating_a", 80)}, "BAT2", "", false, "two of 40 A"},
	})
	edges(t, rig("relay-van"), "battery.string-uniformity", []edge{
		{"unlike in the house bank, behind the vehicle's", []components.Edit{num("BAT3", "capacity_ah", 200)}, "BAT3", "BAT3 of 200 Ah stands in parallel with BAT2 of 100 Ah", false, practice},
	})
	edges(t, rig("relay-van"), "conductor.ampacity-covers-overcurrent", []edge{
		{"a breaker in the unit", []components.Edit{num("INV1", "continuous_va", 2400)}, "W19", "", false, "15 A in the unit, 15 A of 14 AWG"},
		{"a larger one", []components.Edit{num("INV1", "continuous_va", 3000), num("INV1", "output_breaker_a", 20)}, "W19", "the breaker at the output of INV1, 20 A", false, "240.4"},
	})
	edges(t, rig("set-on-a-cord"), "neutral.one-bond-per-state", []edge{
		{"the cord is out off grid", nil, "INV1", "", false, practice},
		{"wired to the rig", []components.Edit{components.Reroute{ID: "W1", From: port("GEN1.out"), To: port("INL1.rig")}}, "INV1", "GEN1 (generator bond)", false, "NEC 250.30"},
	})
	edges(t, rig("two-banks"), "panel.single-120v-neutral-bus", []edge{
		{"one hot on both bars", []components.Edit{num("PNL1", "neutral_bar_a", 31)}, "PNL1", "", false, "710.15(C): above the 30 A that come"},
		{"not above them", []components.Edit{num("PNL1", "neutral_bar_a", 30), num("INV1", "continuous_va", 3600)}, "PNL1", "its neutral bar can carry 30 A", false, "710.15(C): above the 30 A that come"},
	})
	edges(t, rig("set-on-a-cord"), "bonding.single-chassis-bond", []edge{
		{"the bond on the controller's array side", []components.Edit{components.Reroute{ID: "W42", From: port("CC1.pv"), To: port("BJ1.a"), Cores: []components.Core{{From: components.Neg, To: components.Neg}}}}, "BAT1", "through a controller or converter alone", false, practice},
		{"on the bar", nil, "BAT1", "", false, practice},
	})
	edges(t, rig("relay-van"), "battery.starting-reserve", []edge{
		{"a relay between the banks", nil, "BAT1", "", false, practice},
		{"a wire past it", []components.Edit{oneCore("W91", "BAT1.pos", "BUS1.bar", components.Pos)}, "BAT1", "hangs DL1", false, practice},
	})
	edges(t, rig("two-banks"), "battery.starting-reserve", []edge{
		{"a wire to the bank", []components.Edit{oneCore("W91", "BAT4.pos", "BUS1.bar", components.Pos)}, "BAT4", "Nothing parts BAT4", false, practice},
	})
	edges(t, rig("series-camper"), "alternator.dcdc-direction", []edge{
		{"its input on its output", []components.Edit{oneCore("W91", "DDC1.in", "BUS1.bar", components.Pos)}, "DDC1", "are on one net", false, practice},
	})
	turned := func(id components.ID, from, to string) components.Edit {
		e := components.Reroute{ID: id, From: port(from), To: port(to), Cores: []components.Core{{From: components.Pos, To: components.Neg}}}
		if e.From.Port == "neg" {
			e.Cores = []components.Core{{From: components.Neg, To: components.Pos}}
		}
		return e
	}
	edges(t, rig("buffered-trailer"), "battery.string-uniformity", []edge{
		{"a battery the wrong way round", []components.Edit{turned("W13", "BAT1.neg", "F1.line"), turned("W15", "BAT1.pos", "SHT1.battery")}, "BAT1", "BAT1 stands the wrong way round", false, "Ohm's law"},
		{"one that is not", nil, "BAT1", "", false, "Ohm's law"},
	})
	edges(t, rig("office-trailer"), "bonding.chassis-bond-size", []edge{
		{"the bond on a panel's ground bar", []components.Edit{components.Reroute{ID: "W47", From: port("BJ1.b"), To: port("PNL1.main"), Cores: []components.Core{{From: components.G, To: components.G}}}}, "W14", "comes to the chassis over W14, 8 AWG", false, "NEC 552.10(C)"},
		{"on the frame", nil, "W14", "", false, "NEC 552.10(C)"},
	})
	blade := func(family string) []components.Edit {
		return []components.Edit{
			components.AddPart{Part: components.Part{ID: "F91", Kind: &components.Fuse, At: components.Point{X: 1900, Y: 1900}, Spec: components.Spec{"family": components.Str(family), "rating_a": components.Num(10), "pole": components.Str("L")}}},
		}
	}
	edges(t, rig("office-trailer"), "overcurrent.voltage-rating", []edge{
		{"a blade fuse at the mains", blade("blade-atc"), "F91", "stands at 120 V AC", false, "33 CFR 183.455(d)"},
		{"a class T one", blade("class-t"), "F91", "", false, "UL 248-15: made for the mains too"},
	})
	edges(t, rig("set-on-a-cord"), "conductor.insulated-for-its-voltage", []edge{
		{"two cores for three conductors", []components.Edit{set("W8", "cable", components.Str("duplex-105"))}, "W8", "3 conductors are drawn in it", false, "two-core cable"},
		{"an array below 60 V in primary wire", []components.Edit{set("W23", "cable", components.Str("primary-105"))}, "W23", "", false, "SAE J1128, from memory: 60 V; 54.94 V"},
		{"one above", []components.Edit{set("W23", "cable", components.Str("primary-105")), num("PV1", "series", 3)}, "W23", "made for 60 V", false, "SAE J1128, from memory: 60 V; 82.41 V"},
	})
	dogbone := []components.Edit{set("SH1", "service", components.Str("50a-120/240")), components.Reroute{ID: "W1", From: port("SH1.out"), To: port("INL1.site"), Cores: []components.Core{{From: components.L1, To: components.L}, {From: components.N, To: components.N}, {From: components.G, To: components.G}}}}
	larger := append(slices.Clone(dogbone), num("CB1", "rating_a", 50), num("PNL1", "main_a", 50))
	edges(t, rig("two-banks"), "conductor.ampacity-covers-overcurrent", []edge{
		{"an adapter to a larger outlet, 30 A behind the inlet", dogbone, "W2", "", false, "common practice; cord.adapter-changes-protection tells of it"},
		{"50 A there", larger, "W2", "W2", false, "NEC 240.4"},
	})
	edges(t, rig("two-banks"), "conductor.small-wire-cap", []edge{
		{"an adapter to a larger outlet, 30 A behind the inlet", dogbone, "W2", "", false, "common practice; cord.adapter-changes-protection tells of it"},
		{"50 A there", larger, "W2", "W2", false, "NEC 240.4(D)"},
	})
	edges(t, rig("office-trailer"), "load.240v-needs-split-phase", []edge{
		{"dead on an adapter alone", nil, "LD5", "gets none here", false, "Ohm's law"},
	})
}

func TestForHoursEdges(t *testing.T) {
	// 6 AWG between terminals of 60 °C carries 55 A; its breaker is the next size, 60 A.
	feeder := func(breaker, va float64) []components.Edit {
		run := func(id components.ID, from, to string) components.Edit {
			return components.AddRun{Run: components.Run{ID: id, From: port(from), To: port(to), Spec: components.Spec{"size": components.Str("6 AWG"), "cable": components.Str("tray-90"), "length_ft": components.Num(5)}}}
		}
		part := func(id components.ID, kind *components.Kind, y int, spec components.Spec) components.Edit {
			return components.AddPart{Part: components.Part{ID: id, Kind: kind, At: components.Point{X: 1200, Y: y}, Spec: spec}}
		}
		return []components.Edit{
			part("GEN9", &components.Generator, 600, components.Spec{"rating_va": components.Num(8000), "breaker_a": components.Num(60), "bonded": components.Yes(true)}),
			part("CB9", &components.ACBreaker, 700, components.Spec{"rating_a": components.Num(breaker)}),
			part("LD9", &components.ACLoad, 800, components.Spec{"va": components.Num(va), "continuous": components.Yes(true)}),
			run("W91", "GEN9.out", "CB9.line"), run("W92", "CB9.load", "LD9.in"),
		}
	}
	const nec = "215.2(A): 125 % of what runs for hours, published"
	edges(t, "../../testdata/rules/conductor.heat-and-bundling.yaml", "conductor.heat-and-bundling", []edge{
		{"within", feeder(60, 5200), "W92", "", false, nec},
		{"above", feeder(60, 5400), "W92", "125 % of what runs for hours counts", false, nec},
		{"not for hours", append(feeder(60, 5400), set("LD9", "continuous", components.Yes(false))), "W92", "", false, nec},
		{"behind 50 A", feeder(50, 5400), "W92", "", false, "the breaker is held to it"},
	})
}

func TestSurgeAsked(t *testing.T) {
	edges(t, oneBlock, "overcurrent.surge-hold", []edge{ // 2 kVA: 211.6 A on 300 A of class T
		{"2.5 times", []components.Edit{num("INV1", "surge_va", 7080)}, "F1", "", false, "common practice, no source"},
		{"above", []components.Edit{num("INV1", "surge_va", 7100)}, "F1", "tells how long it holds", true, "common practice, no source"},
	})
}

func TestNotBypassedEdges(t *testing.T) {
	const practice = "common practice, no source"
	edges(t, "../../testdata/rules/disconnect.not-bypassed.yaml", "disconnect.not-bypassed", []edge{
		{"a run past it", nil, "SW9", "opens nothing", false, practice},
		{"taken out", gone("W91"), "SW9", "", false, practice},
		{"a second switch past it", []components.Edit{
			components.RemoveRun{ID: "W91"},
			components.AddPart{Part: components.Part{ID: "SW8", Kind: &components.DCSwitch, At: components.Point{X: 340, Y: 200}, Spec: components.Spec{"rating_a": components.Num(300)}}},
			oneCore("W92", "F1.load", "SW8.line", components.Pos), oneCore("W93", "SW8.load", "SW9.load", components.Pos),
		}, "SW9", "", false, "a relay and its hand switch"},
	})
}
