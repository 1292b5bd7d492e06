package checks

import (
	"testing"

	"rigline/components"
)

// What is lost on the way to chargers and inverters, whether a fault at their end opens
// the breaker, conductors in parallel, and legs that lead nowhere.
func TestEdgesOfACFeeders(t *testing.T) {
	charger := func(feet float64, more ...components.Edit) []components.Edit { // 50 A at 14.6 V, 0.88: about 6.9 A on 14 AWG
		return append([]components.Edit{
			set("INV1", "charge_a", amount(0)), withRows("PNL1", circuitRow("", 15), circuitRow("", 15)),
			components.AddPart{Part: components.Part{ID: "CHG1", Kind: &components.Charger, At: components.Point{X: 840, Y: 240}, Spec: components.Spec{"charge_a": amount(50), "dc_v": amount(12.8), "listing": wordOf("ul-458")}}},
			drawn("W20", "PNL1.c2", "CHG1.ac-in", "14 AWG"), set("W20", "length_ft", amount(feet)),
			drawn("W21", "CHG1.case", "CH1.stud", "8 AWG", components.G),
			drawn("W22", "SW9.load", "CHG1.dc", "2/0 AWG", components.Pos), drawn("W23", "BUS1.bar", "CHG1.dc", "2/0 AWG", components.Neg),
		}, more...)
	}
	holdRows(t, []edgeRow{
		{"clean", SeriesDrop, "a charger 20 ft away", charger(20), none, "210.19(A) note: 2 × 0.020 × 3.1 Ω × 7 A = 0.9 V"},
		{"clean", SeriesDrop, "a charger 150 ft away", charger(150), []string{"advice W20"}, "210.19(A) note: 2 × 0.150 × 3.1 Ω × 7 A = 6.5 V, 5.4 %"},
		{"clean", SeriesDrop, "a charger, length not told", charger(150, set("W20", "length_ft", components.Value{})), []string{"unchecked W20"}, "nothing to work out"},
		{"clean", SeriesDrop, "an inverter's input 200 ft away", []components.Edit{set("W3", "length_ft", amount(200))}, []string{"advice W3"}, "215.2(A) note"},
		{"clean", FarEnd, "a charger 100 ft away", charger(100), none, "250.4(A)(5): out 0.1 × 3.1 Ω, back by the frame: over 5 × 15 A"},
		{"clean", FarEnd, "a charger 700 ft away", charger(700), []string{"advice W20"}, "250.4(A)(5): out 0.7 × 3.1 Ω, back by the frame: 120 V / 2.3 Ω = 53 A, 3.5 × 15 A"},
		{"clean", FarEnd, "an inverter's input 350 ft away", []components.Edit{set("W3", "length_ft", amount(350))}, []string{"advice W3", "advice W4"}, "250.4(A)(5): 120 V / (2 × 0.38 × 1.24 Ω) = 127 A, 4.2 × 30 A; the panel behind it less still"},
		{"clean", FarEnd, "a load 300 ft away on a thin ground", []components.Edit{set("W5", "length_ft", amount(300)), set("W5", "size", wordOf("10 AWG")), set("W5", "ground_size", wordOf("18 AWG"))}, []string{"advice W5"}, "18 AWG: 7.8 Ω a 1000 ft; the ground decides"},
		{"clean", FarEnd, "the same behind a ground-fault breaker", []components.Edit{set("W5", "length_ft", amount(300)), set("W5", "size", wordOf("10 AWG")), set("W5", "ground_size", wordOf("18 AWG")), withRows("PNL1", circuitRow("", 15, "gfci", true))}, none, "UL 943: it opens at 4 to 6 mA; hot to neutral 120 V / 0.74 Ω"},

		{"clean", AmpacityCovers, "two of 14 AWG behind 20 A", []components.Edit{set("W5", "sets", amount(2)), withRows("PNL1", circuitRow("", 20))}, []string{"danger W5"}, "310.10(G): 1/0 AWG is the smallest"},
		{"clean", AmpacityCovers, "two of 14 AWG behind 15 A", []components.Edit{set("W5", "sets", amount(2))}, none, "each carries 15 A alone"},

		{"supply.unused-leg", UnusedLeg, "a circuit on each leg", []components.Edit{withRows("PNL1", circuitRow("L1", 15), circuitRow("L2", 15))}, none, "551.42(D): both legs are used"},
		{"supply.unused-leg", UnusedLeg, "all circuits on the second leg", []components.Edit{withRows("PNL1", circuitRow("L2", 15), circuitRow("L2", 15))}, []string{"advice GEN1.out"}, "551.42(D): evenly proportioned"},
		{"supply.unused-leg", UnusedLeg, "a set of one leg", []components.Edit{components.RemoveRun{ID: "W1"}, set("GEN1", "legs", wordOf("one")),
			components.AddRun{Run: components.Run{ID: "W1", From: at("GEN1.out"), To: at("PNL1.main"), Cores: []components.Core{{From: components.L, To: components.L1}, {From: components.N, To: components.N}, {From: components.G, To: components.G}}, Spec: components.Spec{"size": components.Str("12 AWG"), "cable": components.Str("tray-90"), "length_ft": components.Num(12)}}}}, none, "nothing is left over"},
	})
}
