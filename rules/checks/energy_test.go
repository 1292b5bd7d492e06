package checks

import (
	"testing"

	"rigline/components"
)

const towed = "../../testdata/topologies/t11.yaml" // LFP behind a 40 A DC-DC charger on an alternator of 160 A

func clear1(on components.ID, key string) components.Edit { return set(on, key, components.Value{}) }

func TestChargeEdges(t *testing.T) {
	edges(t, oneBlock, "charger.total-current-limit", []edge{
		{name: "at the limit", edits: []components.Edit{num("BAT1", "charge_a", 50)}, at: "BAT1", from: "data sheet: 50 A accepted, 50 A given"},
		{name: "above it", edits: []components.Edit{num("BAT1", "charge_a", 49)}, at: "BAT1", says: "give 50 A together; it accepts 49 A", from: "50 A > 49 A"},
		{name: "two strings", edits: []components.Edit{num("BAT1", "charge_a", 25), num("BAT1", "parallel", 2)}, at: "BAT1", from: "2 × 25 A"},
		{name: "not told and plenty", at: "BAT1", from: "LFP usually takes 0.5 × 200 Ah = 100 A"},
		{name: "not told and tight", edits: []components.Edit{num("BAT1", "capacity_ah", 90)}, at: "BAT1", says: "charge_a of BAT1 is not told", asks: true, from: "0.5 × 90 Ah = 45 A < 50 A"},
		{name: "charger not told", edits: []components.Edit{num("BAT1", "charge_a", 60), unknown("INV1", "charge_a")}, at: "INV1", says: "charge_a of INV1 is not known", asks: true, from: "a sum with a hole"},
	})
	edges(t, "../../testdata/rules/charger.total-current-limit.yaml", "charger.total-current-limit", []edge{
		{name: "interlocked", edits: []components.Edit{word("INV1", "never_with", "a"), word("CC1", "never_with", "a")}, at: "BAT1", from: "catalogue: interlocked sources count with the larger, 50 A ≤ 60 A"},
		{name: "one alone in its group", edits: []components.Edit{word("INV1", "never_with", "a")}, at: "BAT1", says: "give 70 A", from: "an interlock with nothing"},
	})
	lead := []components.Edit{word("BAT1", "chemistry", "gel"), num("BAT1", "nominal_v", 12)}
	with := func(e ...components.Edit) []components.Edit { return append(lead[:len(lead):len(lead)], e...) }
	edges(t, oneBlock, "charger.profile-match", []edge{
		{name: "lithium at its most", edits: []components.Edit{num("INV1", "absorb_v", 14.6)}, at: "INV1", from: "data sheets: 14.6 V"},
		{name: "lithium above it", edits: []components.Edit{num("INV1", "absorb_v", 14.7)}, at: "INV1", says: "charges to 14.7 V, and BAT1 stands 14.6 V", from: "data sheets: 14.6 V"},
		{name: "at the nominal voltage", edits: []components.Edit{num("INV1", "absorb_v", 12.8)}, at: "INV1", from: "12.8 V is not below it"},
		{name: "a 12 V profile on 24 V", edits: []components.Edit{num("BAT1", "series", 2), num("INV1", "dc_v", 25.6), num("INV1", "absorb_v", 14.4)}, at: "INV1", says: "ends its charge at 14.4 V, below the nominal 25.6 V of BAT1", from: "Ohm's law: no current flows up"},
		{name: "lithium of 24 V", edits: []components.Edit{num("BAT1", "series", 2), num("INV1", "absorb_v", 29.2)}, at: "INV1", from: "2 × 14.6 V"},
		{name: "lithium equalized", edits: []components.Edit{num("INV1", "equalize_v", 14.4)}, at: "INV1", says: "equalizes at 14.4 V", from: "catalogue: equalize off on lithium"},
		{name: "lithium compensated", edits: []components.Edit{yes("INV1", "compensated")}, at: "INV1", says: "rises in the cold", from: "catalogue: compensation off on lithium"},
		{name: "gel at its most", edits: with(num("INV1", "absorb_v", 14.4)), at: "INV1", from: "data sheets: 14.4 V"},
		{name: "gel above it", edits: with(num("INV1", "absorb_v", 14.8)), at: "INV1", says: "charges to 14.8 V, and BAT1 stands 14.4 V", from: "catalogue: 14.8 V on gel fails"},
		{name: "gel compensated", edits: with(yes("INV1", "compensated")), at: "INV1", from: "lead wants it"},
		{name: "an old charger on lithium", edits: []components.Edit{components.Describe{ID: "INV1", Status: components.Existing}}, at: "INV1", says: "absorb_v of INV1 is not told", asks: true, from: "a lead profile may be left in it"},
	})
	edges(t, "../../testdata/rules/charger.total-current-limit.yaml", "charger.profile-match", []edge{
		{name: "agree within 0.2 V", edits: []components.Edit{num("INV1", "absorb_v", 14.4), num("CC1", "absorb_v", 14.2)}, at: "CC1", from: "practice: 0.2 V"},
		{name: "0.3 V apart", edits: []components.Edit{num("INV1", "absorb_v", 14.4), num("CC1", "absorb_v", 14.1)}, at: "CC1", says: "CC1 ends its charge at 14.1 V and INV1 at 14.4 V", from: "practice: 0.2 V"},
	})
}

func TestAlternatorEdges(t *testing.T) {
	// 40 A × 14.4 V / (0.9 × 13.5 V) = 47.4 A from the alternator; at 12 V 53.3 A, × 1.25 = 66.7 A.
	edges(t, towed, "alternator.lithium-overload", []edge{
		{name: "half its rating", edits: []components.Edit{num("ALT1", "rating_a", 95)}, at: "ALT1", from: "47.4 A ≤ 0.5 × 95 A"},
		{name: "above half", edits: []components.Edit{num("ALT1", "rating_a", 94)}, at: "ALT1", says: "Charging draws 47.41 A from ALT1", from: "47.4 A > 0.5 × 94 A"},
		{name: "cooled", edits: []components.Edit{num("ALT1", "rating_a", 80), yes("ALT1", "regulated")}, at: "ALT1", from: "47.4 A ≤ 0.6 × 80 A"},
		{name: "60 A on 130 A", edits: []components.Edit{num("ALT1", "rating_a", 130), num("DDC1", "output_a", 60)}, at: "ALT1", says: "draws 71.11 A", from: "catalogue: 71.1 A > 65 A"},
		{name: "40 A on 130 A", edits: []components.Edit{num("ALT1", "rating_a", 130)}, at: "ALT1", from: "catalogue: 47.4 A ≤ 65 A"},
		{name: "rating not told", edits: []components.Edit{unknown("ALT1", "rating_a")}, at: "ALT1", says: "rating_a of ALT1 is not known", asks: true, from: "a plate that nobody read"},
		{name: "lithium straight on it", edits: []components.Edit{word("BAT3", "chemistry", "lfp"), num("BAT3", "nominal_v", 12.8)}, at: "ALT1", says: "ALT1 charges BAT3 straight", from: "catalogue: direct to LFP fails"},
		{name: "lithium, heat sensed", edits: []components.Edit{word("BAT3", "chemistry", "lfp"), num("BAT3", "nominal_v", 12.8), yes("ALT1", "regulated")}, at: "ALT1", from: "catalogue: temperature-sensed regulator"},
	})
	edges(t, towed, "alternator.dcdc-both-fuses", []edge{
		{name: "70 A in", at: "F21", from: "catalogue: 70 A ≥ 66.7 A"},
		{name: "60 A in", edits: []components.Edit{num("F21", "rating_a", 60)}, at: "F21", says: "asks for 66.67 A", from: "1.25 × 53.3 A = 66.7 A"},
	})
	edges(t, oneBlock, "inverter-dc.cutoff-coordination", []edge{
		{name: "trip not told, cut-off at the usual", edits: []components.Edit{num("INV1", "dc_low_v", 10)}, at: "INV1", says: "the protection of BAT1 opens at 10 V", from: "data sheets: 10.0 V for 12.8 V"},
		{name: "trip not told, half a volt above", edits: []components.Edit{num("INV1", "dc_low_v", 10.5)}, at: "INV1", from: "practice: 10.0 V + 0.5 V"},
		{name: "lead has no protection", edits: []components.Edit{word("BAT1", "chemistry", "agm"), num("BAT1", "nominal_v", 12), num("INV1", "dc_low_v", 10)}, at: "INV1", from: "nothing trips"},
		{name: "half a volt", edits: []components.Edit{num("BAT1", "trip_v", 10), num("INV1", "dc_low_v", 10.5)}, at: "INV1", from: "catalogue: trip + 0.5 V"},
		{name: "on the trip", edits: []components.Edit{num("BAT1", "trip_v", 10), num("INV1", "dc_low_v", 10)}, at: "INV1", says: "goes on down to 10 V", from: "catalogue: 10.0 V with a 10.0 V trip fails"},
		{name: "stands the charge", edits: []components.Edit{num("INV1", "absorb_v", 14.6), num("INV1", "dc_high_v", 15.5)}, at: "INV1", from: "catalogue: 15.5 V against 14.6 V"},
		{name: "0.2 V above", edits: []components.Edit{num("INV1", "absorb_v", 14.4), num("INV1", "dc_high_v", 14.6)}, at: "INV1", from: "14.4 V + 0.2 V"},
		{name: "0.1 V above", edits: []components.Edit{num("INV1", "absorb_v", 14.6), num("INV1", "dc_high_v", 14.7)}, at: "INV1", says: "stops above 14.7 V", from: "14.6 V + 0.2 V > 14.7 V"},
	})
}

func TestEnergyEdges(t *testing.T) {
	// 500 W / 0.9 + 15 W / 1 at the bank; 12.8 V × 200 Ah × 0.8 = 2048 Wh.
	day := []components.Edit{num("LD1", "va", 500), num("INV1", "idle_w", 13)}
	with := func(e ...components.Edit) []components.Edit { return append(day[:len(day):len(day)], e...) }
	edges(t, oneBlock, "energy.runtime", []edge{
		{name: "three and a half hours", edits: with(num("BAT1", "runtime_h", 3.6)), at: "BAT1", from: "2048 Wh / 568.6 W = 3.602 h"},
		{name: "a little more", edits: with(num("BAT1", "runtime_h", 3.7)), at: "BAT1", says: "lasts 3.602 h; 3.7 h are wanted", from: "2048 Wh / 568.6 W = 3.602 h"},
		{name: "idle not told", edits: with(clear1("INV1", "idle_w"), num("BAT1", "runtime_h", 1)), at: "INV1", says: "idle_w of INV1 is not told", asks: true, from: "what an inverter draws by itself"},
		{name: "nothing wished", edits: day, at: "BAT1", from: "no wish, no finding"},
	})
	edges(t, oneBlock, "energy.autonomy-bank-size", []edge{
		{name: "enough", edits: with(num("LD1", "hours_per_day", 1), num("BAT1", "autonomy_days", 2.3)), at: "BAT1", from: "(555.6 + 312) Wh × 2.3 / 0.8 / 12.8 V = 194.9 Ah"},
		{name: "too little", edits: with(num("LD1", "hours_per_day", 1), num("BAT1", "autonomy_days", 2.4)), at: "BAT1", says: "need 203.3 Ah; the bank has 200 Ah", from: "867.6 Wh × 2.4 / 0.8 / 12.8 V"},
		{name: "hours not told", edits: with(num("BAT1", "autonomy_days", 1)), at: "LD1", says: "hours_per_day of LD1 is not told", asks: true, from: "a day that nobody described"},
	})
	edges(t, oneBlock, "energy.recharge-time", []edge{
		{name: "in time", edits: []components.Edit{num("INV1", "charge_a", 60), num("BAT1", "recharge_h", 4)}, at: "BAT1", from: "catalogue: 160 Ah / (0.99 × 60 A) + 0.5 h = 3.2 h"},
		{name: "too slow", edits: []components.Edit{num("INV1", "charge_a", 30), num("BAT1", "recharge_h", 3)}, at: "BAT1", says: "in 5.887 h at 30 A", from: "catalogue: 5.4 h, + 0.5 h"},
	})
	// 100 A × 14.4 V / (0.9 × 0.98) = 1633 VA.
	gen := "../../testdata/rules/energy.generator-supports-charger.yaml"
	edges(t, gen, "energy.generator-supports-charger", []edge{
		{name: "rating not told", edits: []components.Edit{unknown("GEN1", "rating_va")}, at: "GEN1", says: "rating_va of GEN1 is not known", asks: true, from: "a plate that nobody read"},
		{name: "over 80 %", edits: []components.Edit{num("GEN1", "rating_va", 2200)}, at: "GEN1", says: "80 % of its 2200 VA is 1760 VA", from: "2133 VA ≤ 2200 VA"},
		{name: "within 80 %", edits: []components.Edit{num("GEN1", "rating_va", 2700)}, at: "GEN1", from: "2133 VA ≤ 0.8 × 2700 VA = 2160 VA"},
	})
	sun := "../../testdata/rules/energy.solar-harvest-balance.yaml"
	// 2 × 2 × 22 V × 8.5 A × 0.7 = 523.6 W; the day takes 200 W × 4 h / 0.9 + 15 W × 24 h = 1249 Wh.
	edges(t, sun, "energy.solar-harvest-balance", []edge{
		{name: "enough", edits: []components.Edit{num("PV1", "sun_hours", 2.4)}, at: "PV1", from: "523.6 W × 2.4 h = 1257 Wh"},
		{name: "too little", edits: []components.Edit{num("PV1", "sun_hours", 2.3)}, at: "PV1", says: "bring 1204 Wh a day; the loads take 1249 Wh", from: "523.6 W × 2.3 h"},
	})
}
