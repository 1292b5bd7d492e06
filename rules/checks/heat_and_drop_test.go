package checks

import (
	"testing"

	"rigline/components"
)

func TestHeatEdges(t *testing.T) {
	// W5, 12 AWG of 90 °C: 30 A × 0.76 at 55 °C × 0.70 for seven carrying = 15.96 A, behind 20 A.
	edges(t, "../../testdata/rules/conductor.heat-and-bundling.yaml", "conductor.heat-and-bundling", []edge{
		{"seven at 55 °C", nil, "W5", "good for 15.96 A", false, "310.15(B), 310.15(C)(1)"},
		{"cooler", []components.Edit{num("W5", "ambient_c", 45)}, "W5", "", false, "30 A × 0.87 × 0.70 = 18.3 A"},
		{"out of the bundle", []components.Edit{num("W5", "with", 0)}, "W5", "", false, "30 A × 0.76 = 22.8 A, 20 A at the terminals"},
		{"a lighter load", []components.Edit{num("LD1", "va", 1800)}, "W5", "", false, "15.5 A < 15.96 A"},
		{"the breaker above the next size", []components.Edit{num("W5", "ambient_c", 65)}, "W5", "", false, "30 A × 0.65 × 0.70 = 13.7 A, next 15 A: the ampacity rule speaks of the 20 A breaker"},
	})
	edges(t, "../../testdata/rules/conductor.series-voltage-drop.yaml", "conductor.series-voltage-drop", []edge{
		{"40 ft of 14 AWG at 12.9 A", []components.Edit{num("W5", "length_ft", 40)}, "W5", "", false, "Table 8: 2 × 0.040 kft × 3.14 Ω/kft × 12.9 A = 3.2 V, 2.7 %"},
		{"50 ft", []components.Edit{num("W5", "length_ft", 50)}, "W5", "most of it in W5", false, "Table 8: 4.1 V, 3.4 %"},
		{"in all, by the cord", []components.Edit{num("W5", "length_ft", 30), num("W1", "length_ft", 150)}, "W1", "most of it in W1", false, "branch 2.0 %, cord 2 × 0.150 × 1.24 × 18 A = 6.7 V, 5.6 %"},
		{"not measured", []components.Edit{unknown("W5", "length_ft")}, "W5", "the length of W5 is not known", true, "nothing to work out"},
	})
	edges(t, "../../testdata/rules/overcurrent.inverter-fault-level.yaml", "overcurrent.inverter-fault-level", []edge{
		{"four times", nil, "INV1", "4.0 times", false, "five times, common practice"},
		{"five times", []components.Edit{num("INV1", "fault_a", 75)}, "INV1", "", false, "5 × 15 A"},
		{"gives up at 5 s", []components.Edit{num("INV1", "fault_s", 5)}, "INV1", "", false, "documented shutdown"},
		{"too late", []components.Edit{num("INV1", "fault_s", 6)}, "INV1", "pushes 60 A", false, "documented shutdown"},
		{"just under five times", []components.Edit{num("INV1", "fault_a", 74)}, "INV1", "4.9 times", false, "five times, common practice"},
		{"a ground-fault breaker", []components.Edit{set("PNL1", "circuits", components.Table(components.Spec{"breaker_a": components.Num(15), "gfci": components.Yes(true)}))}, "INV1", "", false, "it opens on milliamperes"},
		{"not told, and the site opens it", []components.Edit{unknown("INV1", "fault_a")}, "INV1", "", false, "a lasting fault meets the site"},
		{"not told, and nothing else opens it", offGrid(unknown("INV1", "fault_a")), "INV1", "no other source ever opens PNL1 circuit 1", true, "nothing to compare"},
		{"not told off grid, gives up in time", offGrid(unknown("INV1", "fault_a"), num("INV1", "fault_s", 5)), "INV1", "", false, "documented shutdown"},
		{"not told, holds a short", []components.Edit{unknown("INV1", "fault_a"), num("INV1", "fault_s", 6)}, "INV1", "it holds one for 6 s", true, "nothing to compare"},
		{"told off grid, five times", offGrid(num("INV1", "fault_a", 75)), "INV1", "", false, "5 × 15 A"},
	})
	edges(t, "../../testdata/rules/panel.leg-balance.yaml", "panel.leg-balance", []edge{
		{"all on one leg", nil, "PNL1", "the heavier leg trips", false, "551.42(D)"},
		{"one each", []components.Edit{rows(row("L1", 15), row("L2", 15), row("L2", 15))}, "PNL1", "", false, "12.5 A and 15 A: 17 %"},
		{"far from the breaker", []components.Edit{num("PNL1", "main_a", 50), num("INV1", "continuous_va", 8000)}, "PNL1", "", false, "25 A < 80 % of 50 A and of 8000 VA / 2 / 120 V"},
	})
}

// offGrid takes the site away as well.
func offGrid(edits ...components.Edit) []components.Edit {
	return append([]components.Edit{components.RemoveRun{ID: "W1"}, components.RemovePart{ID: "SH1"}}, edits...)
}
