package checks

import (
	"testing"

	"rigline/components"
)

const bankRig = "../../testdata/rules/clean.yaml" // 2 kVA at 10.5 V and 0.9: 211.6 A; surge not told

func TestDisconnectEdges(t *testing.T) {
	edges(t, bankRig, "disconnect.rating", []edge{
		{name: "at the current", edits: []components.Edit{num("SW9", "rating_a", 211.7)}, at: "SW9", from: "552.10(F): 2000 VA / (0.9 × 10.5 V) = 211.6 A"},
		{name: "below it", edits: []components.Edit{num("SW9", "rating_a", 211)}, at: "SW9", says: "carries up to 211.6 A", from: "552.10(F)"},
		{name: "surge within", edits: []components.Edit{num("INV1", "surge_va", 4000), num("SW9", "surge_a", 424)}, at: "SW9", from: "4000 VA / (0.9 × 10.5 V) = 423.3 A"},
		{name: "surge above", edits: []components.Edit{num("INV1", "surge_va", 4000), num("SW9", "surge_a", 420)}, at: "SW9", says: "423.3 A through SW9, whose intermittent rating is 420 A", from: "423.3 A > 420 A"},
		{name: "surge not told", edits: []components.Edit{num("INV1", "surge_va", 4000), unknown("SW9", "surge_a")}, at: "SW9", says: "surge_a of SW9", asks: true, from: "423 A > 300 A continuous"},
		{name: "fuse at 150 %", edits: []components.Edit{num("F1", "rating_a", 450)}, at: "SW9", from: "practice: 450 A = 150 % × 300 A"},
		{name: "fuse above", edits: []components.Edit{num("F1", "rating_a", 500)}, at: "SW9", says: "rated 300 A behind F1, 500 A", from: "practice: 500 A > 450 A"},
		{name: "rating not told", edits: []components.Edit{unknown("SW9", "rating_a")}, at: "SW9", says: "212 A at least", asks: true, from: "nothing to hold"},
		{name: "inverter not told", edits: []components.Edit{unknown("INV1", "continuous_va")}, at: "INV1", says: "continuous_va of INV1", asks: true, from: "its current is not known"},
	})
	bare := "../../testdata/rules/disconnect.battery-disconnect-present.yaml"
	edges(t, bare, "disconnect.battery-disconnect-present", []edge{
		{name: "lithium", at: "BAT1", says: "isolates BAT1 from INV1", from: "practice: any lithium bank"},
		{name: "lead, 100 Ah", edits: []components.Edit{word("BAT1", "chemistry", "agm"), num("BAT1", "nominal_v", 12), num("BAT1", "capacity_ah", 100)}, at: "BAT1", from: "11.6.1.2: 100 Ah is not above 100 Ah"},
		{name: "lead, 101 Ah", edits: []components.Edit{word("BAT1", "chemistry", "agm"), num("BAT1", "nominal_v", 12), num("BAT1", "capacity_ah", 101)}, at: "BAT1", says: "isolates BAT1", from: "11.6.1.2"},
		{name: "lead, not told", edits: []components.Edit{word("BAT1", "chemistry", "agm"), num("BAT1", "nominal_v", 12), unknown("BAT1", "capacity_ah")}, at: "BAT1", says: "capacity_ah of BAT1", asks: true, from: "it hangs on the size"},
		{name: "lead, 800 A of cranking", edits: []components.Edit{word("BAT1", "chemistry", "agm"), num("BAT1", "nominal_v", 12), num("BAT1", "cca_a", 400), num("BAT1", "parallel", 2)}, at: "BAT1", from: "11.6.1.2: 800 A is not above 800 A"},
		{name: "lead, 802 A of cranking", edits: []components.Edit{word("BAT1", "chemistry", "agm"), num("BAT1", "nominal_v", 12), num("BAT1", "cca_a", 401), num("BAT1", "parallel", 2), num("BAT1", "capacity_ah", 40)}, at: "BAT1", says: "isolates BAT1", from: "11.6.1.2: above 800 A"},
		{name: "starting battery", edits: []components.Edit{word("BAT1", "role", "starting")}, at: "BAT1", from: "the vehicle's own"},
	})
	edges(t, bankRig, "disconnect.precharge", []edge{
		{name: "1.5 kVA", edits: []components.Edit{num("INV1", "continuous_va", 1500), set("SW9", "precharge_ohm", components.Value{})}, at: "INV1", says: "empty capacitors", from: "practice: from 1.5 kVA"},
		{name: "1.4 kVA", edits: []components.Edit{num("INV1", "continuous_va", 1400), set("SW9", "precharge_ohm", components.Value{})}, at: "INV1", from: "practice: from 1.5 kVA"},
		{name: "limits itself", edits: []components.Edit{set("INV1", "soft_connect", components.Yes(true)), set("SW9", "precharge_ohm", components.Value{})}, at: "INV1", from: "its manual"},
	})
	edges(t, "../../testdata/rules/disconnect.charge-source-not-stranded.yaml", "disconnect.charge-source-not-stranded", []edge{
		{name: "lead bank, one switch", edits: []components.Edit{word("BAT1", "chemistry", "agm"), num("BAT1", "nominal_v", 12)}, at: "CC1", says: "when F1 is opened", from: "practice: the loads stay with the controller"},
		{name: "not told", edits: []components.Edit{set("CC1", "without_battery", components.Value{})}, at: "CC1", says: "without_battery of CC1", asks: true, from: "its manual tells"},
		{name: "stands it", edits: []components.Edit{set("CC1", "without_battery", components.Yes(true))}, at: "CC1", from: "its manual"},
	})
}
