package checks

import (
	"testing"

	"rigline/components"
)

func TestConductorLoadEdges(t *testing.T) {
	size := func(s string) components.Edit { return word("W10", "size", s) }
	edges(t, oneBlock, "conductor.load-within-ampacity", []edge{ // 211.6 A in W10
		{name: "unmarked terminals", edits: []components.Edit{size("1 AWG")}, at: "W10", says: "may carry 195 A", from: "110.14(C): 75 °C column of 183.425 Table 5, 1 AWG 195 A"},
		{name: "marked", edits: []components.Edit{size("1/0 AWG"), num("W10", "terminal_c", 105)}, at: "W10", from: "183.425 Table 5: 1/0 AWG, 105 °C, 285 A"},
		{name: "75 °C column", edits: []components.Edit{size("2/0 AWG")}, at: "W10", from: "183.425 Table 5: 2/0 AWG, 75 °C, 265 A"},
		{name: "two in parallel", edits: []components.Edit{size("2 AWG"), num("W10", "sets", 2)}, at: "W10", from: "twice the 75 °C column of 2 AWG"},
		{name: "not told", edits: []components.Edit{unknown("W10", "size")}, at: "W10", says: "size of W10 is not known", asks: true, from: "nothing to look up"},
		{name: "inverter not told", edits: []components.Edit{unknown("INV1", "continuous_va")}, at: "INV1", says: "continuous_va of INV1 is not known", asks: true, from: "its current is not known"},
	})
	marked := num("W10", "terminal_c", 105)
	edges(t, oneBlock, "conductor.engine-space-derating", []edge{
		{name: "0.85", edits: []components.Edit{size("1 AWG"), marked, yes("W10", "engine_space")}, at: "W10", says: "may carry 208", from: "Table 5 note 1: 245 A × 0.85 = 208.3 A < 211.6 A"},
		{name: "larger", edits: []components.Edit{size("1/0 AWG"), marked, yes("W10", "engine_space")}, at: "W10", from: "Table 5 note 1: 285 A × 0.85 = 242.3 A"},
		{name: "too small anyway", edits: []components.Edit{size("4 AWG"), marked, yes("W10", "engine_space")}, at: "W10", from: "conductor.load-within-ampacity speaks"},
	})
	edges(t, oneBlock, "conductor.ambient-correction", []edge{
		{name: "60 °C", edits: []components.Edit{size("1 AWG"), marked, num("W10", "ambient_c", 60)}, at: "W10", says: "in air of 60 °C it may carry 189.8 A", from: "245 A × √(45/75) = 189.8 A"},
		{name: "48 °C", edits: []components.Edit{size("1 AWG"), marked, num("W10", "ambient_c", 48)}, at: "W10", from: "245 A × √(57/75) = 213.6 A"},
	})
	edges(t, "../../testdata/rules/conductor.bundle-derating.yaml", "conductor.bundle-derating", []edge{ // 52.9 A at 51.2 V
		{name: "three together", edits: []components.Edit{num("W10", "with", 2)}, at: "W10", from: "183.435(b): 80 A × 0.70 = 56 A"},
		{name: "four together", at: "W10", says: "should carry 48 A", from: "183.435(b): 80 A × 0.60 = 48 A"},
	})
	edges(t, oneBlock, "conductor.bundle-derating", []edge{
		{name: "practice below 50 V", edits: []components.Edit{marked, num("W10", "with", 3)}, at: "W10", says: "should carry 198 A", from: "practice: 330 A × 0.60 = 198 A < 211.6 A, loaded above half"},
	})
}

func TestSourceEndEdges(t *testing.T) {
	edges(t, "../../testdata/rules/overcurrent.every-source-end.yaml", "overcurrent.every-source-end", []edge{
		{name: "full size", edits: []components.Edit{word("W20", "size", "2/0 AWG")}, at: "W20", from: "183.455: 330 A behind 300 A"},
		{name: "within 150 %", edits: []components.Edit{word("W20", "size", "2 AWG")}, at: "W20", from: "183.455(c): 300 A ≤ 1.5 × 210 A; overcurrent.rating-within-ampacity advises"},
		{name: "above 150 %", edits: []components.Edit{word("W20", "size", "4 AWG")}, at: "W20", says: "W20 (4 AWG, 160 A) leaves SW9.load", from: "183.455(c): 300 A > 1.5 × 160 A"},
	})
}
