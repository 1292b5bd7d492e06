package checks

import (
	"testing"

	"rigline/components"
)

// What is marked unknown is asked for, and what one state hides another shows.
func TestEdgesOfACFigures(t *testing.T) {
	part := func(id string, kind *components.Kind, x, y int, spec components.Spec) components.Edit {
		return components.AddPart{Part: components.Part{ID: components.ID(id), Kind: kind, At: components.Point{X: x, Y: y}, Spec: spec}}
	}
	rated := func(amps components.Value) []components.Edit { // a protector behind the inlet
		return []components.Edit{
			components.RemoveRun{ID: "W2"}, part("SP1", &components.SurgeProtector, 280, 200, components.Spec{"rating_a": amps}),
			drawn("W2", "INL1.rig", "SP1.line", "10 AWG"), drawn("W50", "SP1.load", "CB1.line", "10 AWG"),
		}
	}
	outside := func(gfci components.Value) []components.Edit {
		return []components.Edit{
			withRows("PNL1", circuitRow("", 15), circuitRow("", 15)), part("R1", &components.Receptacle, 840, 160, components.Spec{"rating_a": amount(15), "location": wordOf("outside"), "gfci": gfci}),
			drawn("W20", "PNL1.c2", "R1.in", "14 AWG"),
		}
	}
	van := func(amps float64) []components.Edit { // one breaker, no panel
		return []components.Edit{
			set("SH1", "service", wordOf("15a-120")), set("INL1", "rating_a", amount(15)), set("CB1", "rating_a", amount(amps)),
			components.RemoveRun{ID: "W3"}, components.RemoveRun{ID: "W4"}, components.RemoveRun{ID: "W5"}, components.RemoveRun{ID: "W6"}, components.RemovePart{ID: "PNL1"},
			drawn("W5", "CB1.load", "LD1.in", "14 AWG"),
		}
	}
	site := func(edits ...components.Edit) []components.Edit {
		return append([]components.Edit{set("SH1", "service", wordOf("20a-120")), set("LD1", "leakage_ma", amount(0.5))}, edits...)
	}
	beside := func(va float64, fastened components.Value) []components.Edit { // on one 15 A circuit with an outlet
		return []components.Edit{
			set("LD1", "va", amount(va)), set("LD1", "fastened", fastened), components.RemoveRun{ID: "W5"},
			part("J1", &components.Splice, 760, 160, nil), part("R1", &components.Receptacle, 840, 160, components.Spec{"rating_a": amount(15), "location": wordOf("inside")}),
			drawn("W5", "PNL1.c1", "J1.a", "14 AWG"), drawn("W20", "J1.b", "R1.in", "14 AWG"), drawn("W21", "J1.c", "LD1.in", "14 AWG"),
		}
	}
	offGridOnly := []components.Edit{ // on an inverter of its own, switched off on shore, where two other circuits are fed
		part("INV2", &components.Inverter, 480, 600, components.Spec{"continuous_va": amount(3000), "dc_v": amount(12.8), "bonded": components.Yes(true)}),
		part("CB2", &components.ACBreaker, 600, 600, components.Spec{"rating_a": amount(25)}),
		part("LD2", &components.ACLoad, 700, 600, components.Spec{"va": amount(1680)}), part("LD3", &components.ACLoad, 840, 200, components.Spec{"va": amount(100)}),
		withRows("PNL1", circuitRow("", 15), circuitRow("", 15)), drawn("W20", "PNL1.c2", "LD3.in", "14 AWG"),
		drawn("W60", "INV2.ac-out", "CB2.line", "10 AWG"), drawn("W61", "CB2.load", "LD2.in", "10 AWG"),
		drawn("W62", "SW9.load", "INV2.dc", "2/0 AWG", components.Pos), drawn("W63", "BUS1.bar", "INV2.dc", "2/0 AWG", components.Neg),
		components.SetStates{States: []components.State{{Name: "Shore", Shore: "30a-120", SoC: 0.5, Off: []components.ID{"INV2"}}, {Name: "Off grid", SoC: 0.5, Off: []components.ID{"INV1"}}}},
	}
	split := func(l1, l2 float64) []components.Edit { // 5000 VA on two opposite legs
		return []components.Edit{set("LD1", "va", amount(l1)), set("LD2", "va", amount(l2)), set("LD3", "va", amount(0)), set("LD4", "va", amount(0)),
			components.SetStates{States: []components.State{{Name: "Off grid", SoC: 0.5}}}}
	}
	holdRows(t, []edgeRow{
		{"clean", InletMatches, "protector of 30 A", rated(amount(30)), none, "551.46: one rating along the way"},
		{"clean", InletMatches, "protector of 29 A", rated(amount(29)), []string{"violation SP1"}, "551.46"},
		{"clean", InletMatches, "protector unread", rated(components.Unknown), []string{"unchecked SP1"}, "unread label"},
		{"clean", GFCILocations, "outside, a ground-fault outlet", outside(components.Yes(true)), none, "551.41(C)"},
		{"clean", GFCILocations, "outside, a plain outlet", outside(components.Yes(false)), []string{"violation R1"}, "551.41(C)"},
		{"clean", GFCILocations, "outside, unread", outside(components.Unknown), []string{"unchecked R1"}, "a test button tells"},
		{"clean", GFCILocations, "one breaker of 15 A and no panel", van(15), []string{"violation CB1"}, "551.40(C): at the point of entry"},
		{"clean", GFCILocations, "one ground-fault breaker of 15 A", append(van(15), set("CB1", "gfci", components.Yes(true))), none, "551.40(C)"},
		{"clean", SiteGFCITrip, "20 A outlet, 3.9 mA", site(set("INV1", "leakage_ma", amount(3.4))), none, "UL 943: 4 mA at least"},
		{"clean", SiteGFCITrip, "20 A outlet, 4 mA", site(set("INV1", "leakage_ma", amount(3.5))), []string{"violation SH1"}, "UL 943: may trip at 4 mA; 551.71(F): the outlet is protected"},
		{"clean", SiteGFCITrip, "20 A outlet told plain, 4 mA", site(set("INV1", "leakage_ma", amount(3.5)), set("SH1", "gfci", components.Yes(false))), none, "an old outlet"},
		{"clean", SiteGFCITrip, "20 A outlet, leakage not told", []components.Edit{set("SH1", "service", wordOf("20a-120"))}, []string{"unchecked SH1"}, "3.5 + 0.75 mA at most"},
		{"clean", SiteGFCITrip, "30 A outlet, 4 mA", []components.Edit{set("LD1", "leakage_ma", amount(4))}, none, "TIA 20-8: 30 and 50 A outlets need none"},
		{"clean", ReceptacleFits, "7.5 A fastened beside an outlet on 15 A", beside(900, components.Yes(true)), none, "210.23(A)(2): half"},
		{"clean", ReceptacleFits, "just above, fastened", beside(901, components.Yes(true)), []string{"violation LD1"}, "210.23(A)(2): half"},
		{"clean", ReceptacleFits, "12 A with a plug", beside(1440, components.Yes(false)), none, "210.23(A)(1): 80 %"},
		{"clean", ReceptacleFits, "just above, with a plug", beside(1441, components.Yes(false)), []string{"violation LD1"}, "210.23(A)(1): 80 %"},
		{"clean", ReceptacleFits, "9 A, not told how", beside(1080, components.Value{}), []string{"unchecked LD1"}, "210.23(A): it hangs on how it is fixed"},
		{"clean", ApplianceLimit, "14 A on 25 A, off grid alone", offGridOnly, []string{"violation CB2"}, "551.43(A): 21 A; shore has more circuits"},
		{"clean", ApplianceLimit, "plate unread behind 20 A", []components.Edit{set("LD1", "max_breaker_a", components.Unknown), withRows("PNL1", circuitRow("", 20)), set("W5", "size", wordOf("12 AWG"))}, []string{"unchecked LD1"}, "the plate may say less"},
		{"clean", ApplianceLimit, "plate unread behind 15 A", []components.Edit{set("LD1", "max_breaker_a", components.Unknown)}, none, "no plate asks for less than the smallest breaker"},
		{"clean", AboveContinuous, "12 A for hours on 15 A", []components.Edit{set("LD1", "va", amount(1440)), set("LD1", "continuous", components.Yes(true))}, none, "210.20(A): 1.25 × 12 A = 15 A, at 120 V"},
		{"clean", AboveContinuous, "just more for hours on 15 A", []components.Edit{set("LD1", "va", amount(1443)), set("LD1", "continuous", components.Yes(true))}, []string{"violation PNL1.c1"}, "210.20(A): 1.25 × 12.03 A"},
		{"clean", AboveContinuous, "15 A not for hours on 15 A", []components.Edit{set("LD1", "va", amount(1800))}, none, "210.20(A): at 120 V"},
		{"clean", AboveContinuous, "just more on 15 A", []components.Edit{set("LD1", "va", amount(1803))}, []string{"violation PNL1.c1"}, "210.20(A)"},
		{"clean", InputBreaker, "input rating unread", []components.Edit{set("INV1", "input_a", components.Unknown)}, []string{"unchecked INV1"}, "unread label"},
		{"clean", SourceLabels, "sign unread", []components.Edit{set("PNL1", "sources_sign", components.Unknown)}, []string{"unchecked PNL1"}, "a look tells"},

		{"../../projects/samples/library-bus", InverterCapacity, "2500 VA on a leg", split(2500, 1000), none, "half of 5000 VA a leg"},
		{"../../projects/samples/library-bus", InverterCapacity, "2501 VA on a leg", split(2501, 1000), []string{"violation INV1"}, "half of 5000 VA a leg"},
		{"../../projects/samples/library-bus", InterruptingRating, "4000 A at the site, breakers of 2500 A", []components.Edit{set("SH1", "available_fault_a", amount(4000)), set("CB1", "interrupting_a", amount(2500)), set("CB2", "interrupting_a", amount(10000))}, []string{"violation CB1"}, "leg to leg 240 V over two cores; 2650 A; leg to neutral 1980 A"},
	})
}
