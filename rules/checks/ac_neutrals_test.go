package checks

import (
	"testing"

	"rigline/components"
)

// Neutrals that are conductors of their own, neutrals bonded in the vehicle, and the
// smallest conductors.
func TestEdgesOfACNeutrals(t *testing.T) {
	straight := func(size string) []components.Edit { // beside W5, behind 15 A
		return []components.Edit{
			components.Reroute{ID: "W5", From: at("PNL1.c1"), To: at("LD1.in"), Cores: cores(components.L, components.G)},
			drawn("W20", "PNL1.c1", "LD1.in", size, components.N),
		}
	}
	over := func(size string) []components.Edit { // the same, by a junction
		return []components.Edit{
			components.Reroute{ID: "W5", From: at("PNL1.c1"), To: at("LD1.in"), Cores: cores(components.L, components.G)},
			components.AddPart{Part: components.Part{ID: "J1", Kind: &components.Splice, At: components.Point{X: 760, Y: 160}, Spec: components.Spec{"poles": components.Words("N")}}},
			drawn("W20", "PNL1.c1", "J1.a", size, components.N),
			drawn("W21", "J1.b", "LD1.in", "14 AWG", components.N),
		}
	}
	alone := func(from string) []components.Edit { // the inverter floats, and a jumper is the rig's one bond
		return []components.Edit{
			components.RemoveRun{ID: "W1"}, components.RemovePart{ID: "SH1"}, set("INV1", "bond_relay", components.Yes(false)),
			components.AddPart{Part: components.Part{ID: "BJ2", Kind: &components.BondKind, At: components.Point{X: 760, Y: 300}, Spec: components.Spec{"a_pole": components.Str("N")}}},
			drawn("W22", from, "BJ2.a", "8 AWG", components.N), drawn("W23", "BJ2.b", "CH1.stud", "8 AWG", components.G),
		}
	}
	outlets := func(n components.Value, with float64) []components.Edit { // 14 AWG in a bundle: 12.5 A, by a junction
		return []components.Edit{
			withRows("PNL1", circuitRow("", 15), circuitRow("", 15)),
			components.AddPart{Part: components.Part{ID: "J1", Kind: &components.Splice, At: components.Point{X: 760, Y: 160}}},
			components.AddPart{Part: components.Part{ID: "R1", Kind: &components.Receptacle, At: components.Point{X: 840, Y: 160}, Spec: components.Spec{"rating_a": amount(15), "location": wordOf("inside")}}}, set("R1", "outlets", n),
			drawn("W20", "PNL1.c2", "J1.a", "14 AWG"), drawn("W21", "J1.b", "R1.in", "14 AWG"), set("W20", "with", amount(with)),
		}
	}
	holdRows(t, []edgeRow{
		{"clean", CarriesUnbalance, "14 AWG beside 15 A", straight("14 AWG"), none, "240.4(D): 15 A"},
		{"clean", CarriesUnbalance, "16 AWG beside 15 A", straight("16 AWG"), []string{"violation W20"}, "240.4(D): 10 A"},
		{"clean", CarriesUnbalance, "0.75 mm² beside 15 A", straight("0.75 mm2"), []string{"violation W20"}, "240.4(D) lists nothing below 18 AWG"},
		{"clean", CarriesUnbalance, "14 AWG at 75 °C beside 20 A", append(straight("14 AWG"), withRows("PNL1", circuitRow("", 20)), set("W20", "terminal_c", amount(75))), []string{"violation W20"}, "240.4(D): 15 A, whatever the column says"},
		{"clean", CarriesUnbalance, "14 AWG over a junction", over("14 AWG"), none, "240.4(D): 15 A"},
		{"clean", CarriesUnbalance, "16 AWG over a junction", over("16 AWG"), []string{"violation W20"}, "240.4(D): 10 A"},
		{"clean", CarriesUnbalance, "not told, over a junction", append(over("14 AWG"), set("W20", "size", components.Unknown)), []string{"unchecked W20"}, "nothing to hold it to"},

		{"clean", IsolatedNeutral, "a jumper at the panel, no other bond", alone("PNL1.main"), []string{"danger BJ2"}, "551.54(C)"},
		{"clean", IsolatedNeutral, "a jumper at the inverter", alone("INV1.ac-out"), none, "250.30(A)(1): at the source"},
		{"clean", IsolatedNeutral, "a run from neutral to frame at the panel", []components.Edit{components.AddRun{Run: components.Run{ID: "W24", From: at("PNL1.main"), To: at("CH1.stud"), Cores: []components.Core{{From: components.N, To: components.G}}, Spec: components.Spec{"size": components.Str("8 AWG"), "cable": components.Str("tray-90")}}}}, []string{"danger W24"}, "551.54(C)"},

		{"clean", SmallWireCap, "0.75 mm²", []components.Edit{set("W5", "size", wordOf("0.75 mm2"))}, []string{"danger W5"}, "240.4(D) lists nothing below 18 AWG"},
		{"clean", SmallWireCap, "16 AWG behind 15 A", []components.Edit{set("W5", "size", wordOf("16 AWG"))}, []string{"danger W5"}, "240.4(D): 10 A"},
		{"clean", SmallWireCap, "14 AWG behind 15 A", nil, none, "240.4(D): 15 A"},
		{"clean", AmpacityCovers, "rounded up, a junction and two outlets behind", outlets(amount(2), 10), []string{"danger W20"}, "240.4(B)(1): no rounding up on a circuit of several receptacles"},
		{"clean", AmpacityCovers, "rounded up, one outlet behind", outlets(amount(1), 10), none, "240.4(B)(1): one receptacle"},
		{"clean", AmpacityCovers, "rounded up, outlets not counted", outlets(components.Value{}, 10), []string{"danger W20"}, "a symbol stands for the outlets of a circuit"},
		{"clean", AmpacityCovers, "20 A for two outlets in company of two", outlets(amount(2), 1), none, "310.15(C)(1): three carrying, 25 A; terminals 15 A"},
	})
}
