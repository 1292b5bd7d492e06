package checks

import (
	"testing"

	"rigline/components"
)

// recored gives a run other cores: "L", "L>L1".
func recored(t *testing.T, doc *components.Document, id components.ID, cores ...string) components.Edit {
	t.Helper()
	r, ok := doc.Run(id)
	if !ok {
		t.Fatalf("no run %s", id)
	}
	e := r.Rerouted()
	e.Cores = nil
	for _, c := range cores {
		core, err := components.ParseCore(c)
		if err != nil {
			t.Fatal(err)
		}
		e.Cores = append(e.Cores, core)
	}
	return e
}

// ended puts an end of a run at another port.
func ended(t *testing.T, doc *components.Document, id components.ID, from, to string) components.Edit {
	t.Helper()
	r, ok := doc.Run(id)
	if !ok {
		t.Fatalf("no run %s", id)
	}
	e := r.Rerouted()
	e.Path, e.Cores, e.From, e.To = nil, doc.CoresOf(r), port(from), port(to)
	return e
}

// A conductor that is left out, or that ends one terminal beside the right one.
func TestLeftOutEdges(t *testing.T) {
	const (
		workshop = "../../projects/samples/workshop-bus.yaml"
		stacked  = "../../testdata/topologies/t05.yaml" // a unit a leg; L2 of the second comes over W35
		arrays   = "../../testdata/topologies/t12.yaml" // three arrays on one negative bar
		coach    = "../../testdata/topologies/t03.yaml"
	)
	const with = "300.3(B): all conductors of a circuit together"
	w, s, a, c := load(t, workshop), load(t, stacked), load(t, arrays), load(t, coach)
	edges(t, workshop, "neutral.returns-to-own-source", []edge{
		{"a 240 V saw without its ground", []components.Edit{recored(t, w, "W12", "L1", "L2", "N")}, "LD4.in", "LD4 has no ground conductor back to PNL1", false, with},
		{"without its neutral, which it needs none of", []components.Edit{recored(t, w, "W12", "L1", "L2", "G")}, "LD4", "", false, "two hots alone give it 240 V"},
	})
	edges(t, stacked, "neutral.with-its-hot", []edge{
		{"each with its own", nil, "W34", "", false, with},
		{"an output without", []components.Edit{recored(t, s, "W34", "L>L1", "G")}, "W34", "No neutral goes with the hot of W34", false, with},
		{"an input without", []components.Edit{recored(t, s, "W33", "L2>L", "G")}, "W33", "those of CB1.load and INV2.ac-in meet another way", false, with},
	})
	edges(t, "../../testdata/rules/overcurrent.common-trip.yaml", "neutral.with-its-hot", []edge{
		{"two circuits that share one", nil, "W14", "", false, "overcurrent.common-trip looks at them"},
	})
	edges(t, oneBlock, "neutral.with-its-hot", []edge{
		{"beside it as a wire of its own", []components.Edit{
			components.Reroute{ID: "W5", From: port("PNL1.c1"), To: port("LD1.in"), Cores: []components.Core{{From: components.L, To: components.L}}},
			components.AddRun{Run: components.Run{ID: "W51", From: port("PNL1.c1"), To: port("LD1.in"), Cores: []components.Core{{From: components.N, To: components.N}, {From: components.G, To: components.G}}, Spec: components.Spec{"size": components.Str("14 AWG"), "cable": components.Str("thhn"), "length_ft": components.Num(12)}}},
		}, "W5", "", false, with},
		{"nowhere at all", []components.Edit{recored(t, load(t, oneBlock), "W5", "L", "G")}, "W5", "", false, "neutral.returns-to-own-source speaks"},
	})
	edges(t, arrays, "conductor.dc-return", []edge{
		{"three on one bar", nil, "PV2", "", false, "Kirchhoff's laws"},
		{"the negative of one left out", gone("W50"), "PV2", "The positive of PV2 leads to", false, "Kirchhoff's laws"},
		{"of a battery among others", gone("W10"), "BAT1", "The positive of BAT1 leads to", false, "Kirchhoff's laws"},
	})
	edges(t, coach, "supply.unused-leg", []edge{
		{"a leg of the site ends at its inlet", []components.Edit{recored(t, c, "W2", "L1", "N", "G")}, "SH1.out", "L2 of SH1 leads to nothing", false, "an adapter of another state feeds nobody"},
	})
	edges(t, coach, "load.never-fed", []edge{
		{"an inverter on its bank", nil, "INV1.dc", "", false, "common practice"},
		{"its positive left out", gone("W31"), "INV1.dc", "No positive leads from a battery or another source to dc of INV1", false, "common practice"},
		{"and its negative: a drawing under way", gone("W31", "W32"), "INV1.dc", "", false, "nothing is joined yet"},
	})
	edges(t, arrays, "load.never-fed", []edge{
		{"a controller whose arrays come off", append(a.Delete("PV1"), append(a.Delete("PV2"), a.Delete("PV3")...)...), "CC1.pv", "No positive leads from a battery or another source to pv of CC1", false, "common practice"},
	})
	edges(t, coach, "bonding.chassis-bond", []edge{
		{"its own", nil, "PNL1", "", false, "551.56: 8 AWG copper"},
		{"over the case ground of the inverter alone", gone("W37"), "PNL1", "over the case ground of a unit alone", false, "551.56: from the panel's bar to the chassis"},
	})
	edges(t, "../../projects/samples/library-bus.yaml", "overcurrent.rating-within-ampacity", []edge{
		{"behind its fuse in cool air", nil, "W20", "", false, "Table 5: 1/0 AWG 285 A, two strings of 100 A"},
		{"in hot air", []components.Edit{num("W20", "ambient_c", 88)}, "W20", "is good for 135.7 A, but only F1, 100 A and F2, 100 A protect it", false, "285 A × √(17 ÷ 75) < 200 A: the fuse ahead of it is no device at its end"},
	})
	const spare = "common practice: a device protects what flows through it"
	edges(t, coach, "overcurrent.one-side-only", []edge{
		{"in its lead", nil, "F7", "", false, spare},
		{"passed by", []components.Edit{ended(t, c, "W31", "F7.line", "INV1.dc")}, "F7", "Nothing is joined to load of F7", false, spare},
		{"nothing joined yet", gone("W30", "W31"), "F7", "", false, "a drawing under way"},
		{"a feed that is left out", gone("W30"), "F7", "Nothing is joined to line of F7", false, spare},
	})
	edges(t, coach, "overcurrent.one-side-only", []edge{
		{"an inlet whose cable was landed on its pins", []components.Edit{ended(t, c, "W2", "INL1.site", "SP1.line")}, "INL1", "Nothing is joined to rig of INL1", false, spare},
		{"an inlet with nothing plugged in", gone("W1"), "INL1", "", false, "inlet.no-site speaks"},
	})
	vehicle := load(t, "../../testdata/topologies/t09.yaml")
	edges(t, "../../testdata/topologies/t09.yaml", "overcurrent.one-side-only", []edge{
		{"a fuse block fed at its feed", nil, "DCP1", "", false, spare},
		{"at one of its circuits", []components.Edit{ended(t, vehicle, "W20", "F3.load", "DCP1.c3")}, "DCP1", "Nothing is joined to feed of DCP1", false, spare},
	})
	alone := load(t, "../../testdata/topologies/t10.yaml")
	edges(t, "../../testdata/topologies/t10.yaml", "supply.leads-nowhere", []edge{
		{"a bank on its bar", nil, "BAT1", "", false, "common practice"},
		{"its main switch taken out", alone.Delete("SW1"), "BAT1", "No conductor leads from pos of BAT1", false, "the others of the bank use nothing"},
	})
	small := load(t, "../../testdata/topologies/t06.yaml")
	edges(t, "../../testdata/topologies/t06.yaml", "solar.battery-first", []edge{
		{"through its isolator", nil, "PV1", "", false, "690.13, 690.15"},
		{"past it, on its line side", []components.Edit{ended(t, small, "W43", "SW2.line", "CC1.pv")}, "PV1", "Nothing takes PV1 off CC1", false, "690.13, 690.15"},
		{"past it, on its load side", []components.Edit{ended(t, small, "W41", "PV1.out", "SW2.load")}, "PV1", "Nothing takes PV1 off CC1", false, "690.13, 690.15"},
	})
}

// What is insulated, and for what.
func TestInsulationEdges(t *testing.T) {
	const bare, low = "310.3(D) from memory", "SAE J1127, J1128 from memory: 60 V"
	edges(t, oneBlock, "conductor.insulated-for-its-voltage", []edge{
		{"mains in building wire", nil, "W5", "", false, bare},
		{"mains in bare copper", []components.Edit{word("W5", "cable", "bare-copper")}, "W5", "L of W5 is bare copper", false, bare},
		{"mains in battery cable", []components.Edit{word("W5", "cable", "battery-105")}, "W5", "L of W5 carries mains in battery cable", false, low},
		{"ground in bare copper", []components.Edit{word("W6", "cable", "bare-copper")}, "W6", "", false, "250.118 from memory"},
		{"a bare positive", []components.Edit{word("W8", "cable", "bare-copper")}, "W8", "+ of W8 is bare copper, which may carry ground alone", false, bare},
		{"a bare negative", []components.Edit{word("W10", "cable", "bare-copper")}, "W10", "- of W10 is bare copper, which may carry ground alone", false, bare},
		{"a strap of 18 in", []components.Edit{word("W90", "cable", "bare-copper"), num("W90", "length_ft", 1.5)}, "W90", "cover it", false, "common practice: 18 in"},
		{"just longer", []components.Edit{word("W90", "cable", "bare-copper"), num("W90", "length_ft", 1.51)}, "W90", "which may carry ground alone", false, "common practice: 18 in"},
		{"of no known length", []components.Edit{word("W90", "cable", "bare-copper"), unknown("W90", "length_ft")}, "W90", "which may carry ground alone", false, "not known to be within 18 in"},
		{"a negative strap of 18 in", []components.Edit{word("W9", "cable", "bare-copper"), num("W9", "length_ft", 1.5)}, "W9", "", false, "common practice: 18 in"},
	})
	edges(t, oneBlock, "conductor.ampacity-covers-overcurrent", []edge{
		{"of no known sort", []components.Edit{unknown("W5", "cable")}, "W5", "the construction of W5 is not known", true, "nothing to look up"},
	})
}

// What the sources of mains give.
func TestMainsVoltageEdges(t *testing.T) {
	const volts = "551.40(A) from memory: 120 V; a tenth, common practice"
	edges(t, oneBlock, "supply.mains-voltage", []edge{
		{"an outlet of 120 V", nil, "SH1", "", false, volts},
		{"one of 230 V", []components.Edit{word("SH1", "service", "16a-230")}, "SH1", "SH1 gives 230 V", false, volts},
		{"an inverter of 132 V", []components.Edit{num("INV1", "ac_v", 132)}, "INV1", "", false, volts},
		{"one of 133 V", []components.Edit{num("INV1", "ac_v", 133)}, "INV1", "INV1 gives 133 V", false, volts},
		{"one of 108 V", []components.Edit{num("INV1", "ac_v", 108)}, "INV1", "", false, volts},
		{"one of 107 V", []components.Edit{num("INV1", "ac_v", 107)}, "INV1", "INV1 gives 107 V", false, volts},
		{"one that is not told", []components.Edit{unknown("INV1", "ac_v")}, "INV1", "", false, "the rule set's"},
	})
}
