package checks

import (
	"testing"

	"rigline/components"
)

const oneBlock = "../../testdata/rules/clean.yaml" // an LFP block of 12.8 V, 200 Ah; 2 kVA at 10.5 V and 0.9: 211.6 A; charger 50 A

func yes(on components.ID, key string) components.Edit { return set(on, key, components.Yes(true)) }

func no(on components.ID, key string) components.Edit { return set(on, key, components.Yes(false)) }

func TestBatteryEdges(t *testing.T) {
	edges(t, oneBlock, "battery.cold-charge-block", []edge{
		{name: "at freezing", edits: []components.Edit{num("BAT1", "coldest_c", 0), no("BAT1", "cold_cutoff")}, at: "BAT1", says: "should take 40 A at most", from: "data sheets: 0 to 45 °C; 0.2 × 200 Ah below 10 °C"},
		{name: "at ten", edits: []components.Edit{num("BAT1", "coldest_c", 10), no("BAT1", "cold_cutoff")}, at: "BAT1", from: "data sheets: no reduced rate from 10 °C"},
		{name: "below freezing", edits: []components.Edit{num("BAT1", "coldest_c", -1), no("BAT1", "cold_cutoff"), no("INV1", "cold_cutoff")}, at: "BAT1", says: "must not be charged below 0 °C, but INV1", from: "data sheets: 0 °C"},
		{name: "the block's own", edits: []components.Edit{num("BAT1", "coldest_c", -15), num("BAT1", "min_charge_c", -20), no("BAT1", "cold_cutoff"), num("INV1", "charge_a", 40)}, at: "BAT1", from: "one data sheet allows −20 °C: the block's own figure stands"},
		{name: "cut-off in the block", edits: []components.Edit{num("BAT1", "coldest_c", -20), yes("BAT1", "cold_cutoff")}, at: "BAT1", from: "the charge switch opens at 0 °C"},
		{name: "heated", edits: []components.Edit{num("BAT1", "coldest_c", -20), no("BAT1", "cold_cutoff"), yes("BAT1", "heated")}, at: "BAT1", from: "heated first"},
		{name: "cut-off in the charger", edits: []components.Edit{num("BAT1", "coldest_c", -20), no("BAT1", "cold_cutoff"), yes("INV1", "cold_cutoff")}, at: "BAT1", from: "the only source feels the cold"},
		{name: "nothing told", at: "BAT1", says: "neither coldest_c nor cold_cutoff of BAT1", asks: true, from: "a survey that has not looked"},
		{name: "charger not told", edits: []components.Edit{num("BAT1", "coldest_c", -20), no("BAT1", "cold_cutoff")}, at: "INV1", says: "cold_cutoff of INV1 is not known", asks: true, from: "a survey that has not looked"},
		{name: "lead", edits: []components.Edit{word("BAT1", "chemistry", "agm"), num("BAT1", "coldest_c", -20)}, at: "BAT1", from: "lead charges in the cold"},
	})
	edges(t, oneBlock, "battery.voltage-class", []edge{
		{name: "at the top", edits: []components.Edit{num("INV1", "dc_high_v", 14.6)}, at: "INV1", from: "LFP: 14.6 V"},
		{name: "under the top", edits: []components.Edit{num("INV1", "dc_high_v", 14.4)}, at: "INV1", says: "its bus reaches 14.6 V", from: "limited to 14.4 V on a bank that absorbs at 14.6 V"},
		{name: "24 V on 12 V", edits: []components.Edit{num("INV1", "dc_v", 24)}, at: "INV1", says: "made for 24 V, but BAT1 puts its dc terminals on 12.8 V", from: "24 V inverter on a 12 V bus"},
		{name: "12 V on 24 V", edits: []components.Edit{num("BAT1", "series", 2)}, at: "INV1", says: "made for 12.8 V, but BAT1 puts its dc terminals on 25.6 V", from: "29.2 V on a 12 V device"},
		{name: "not told", edits: []components.Edit{unknown("INV1", "dc_v")}, at: "INV1", says: "dc_v of INV1 is not known", asks: true, from: "nothing to hold"},
	})
	edges(t, oneBlock, "battery.bms-discharge-limit", []edge{
		{name: "at the limit", edits: []components.Edit{num("BAT1", "discharge_a", 211.7)}, at: "BAT1", from: "2000 VA / (0.9 × 10.5 V) = 211.6 A"},
		{name: "above it", edits: []components.Edit{num("BAT1", "discharge_a", 211)}, at: "BAT1", says: "may give 211 A for long and is asked for 211.6 A", from: "211.6 A > 211 A"},
		{name: "two share unevenly", edits: []components.Edit{num("BAT1", "parallel", 2), num("BAT1", "discharge_a", 115)}, at: "BAT1", says: "may give 207 A", from: "0.9 × 230 A = 207 A < 211.6 A"},
		{name: "two share", edits: []components.Edit{num("BAT1", "parallel", 2), num("BAT1", "discharge_a", 118)}, at: "BAT1", from: "0.9 × 236 A = 212.4 A"},
		{name: "not told", at: "BAT1", says: "discharge_a of BAT1 is not known", asks: true, from: "nothing to hold"},
		{name: "surge", edits: []components.Edit{num("BAT1", "discharge_a", 250), num("BAT1", "surge_a", 400), num("INV1", "surge_va", 4000)}, at: "BAT1", says: "draws 423.3 A; BAT1 gives 400 A", from: "4000 VA / (0.9 × 10.5 V)"},
		{name: "surge too long", edits: []components.Edit{num("BAT1", "discharge_a", 250), num("BAT1", "surge_a", 500), num("BAT1", "surge_s", 3), num("INV1", "surge_va", 4000)}, at: "BAT1", says: "for 3 s; the inverters' surge of 423.3 A lasts 5 s", from: "3 s < 5 s"},
	})
	lead := []components.Edit{word("BAT1", "chemistry", "agm"), num("BAT1", "nominal_v", 12)}
	with := func(e ...components.Edit) []components.Edit { return append(lead[:len(lead):len(lead)], e...) }
	surge := []components.Edit{num("BAT1", "discharge_a", 250), num("INV1", "surge_va", 4000)}
	edges(t, oneBlock, "battery.bms-discharge-limit", []edge{
		{name: "the pulse of lithium", edits: surge, at: "BAT1", says: "surge_a of BAT1 is not known", asks: true, from: "unread"},
		{name: "the pulse of lead", edits: with(surge...), at: "BAT1", from: "lead has no management system"},
		{name: "the pulse of what is not told", edits: append(surge[:2:2], unknown("BAT1", "chemistry")), at: "BAT1", says: "surge_a of BAT1", asks: true, from: "unread"},
	})
	edges(t, oneBlock, "battery.c-rate-limit", []edge{
		{name: "lead above one", edits: with(num("BAT1", "capacity_ah", 210)), at: "BAT1", says: "asked for a discharge of 211.6 A, 1.01 of its 210 Ah", from: "absorbed glass mat: 1.0"},
		{name: "lead below one", edits: with(num("BAT1", "capacity_ah", 212)), at: "BAT1", says: "lasts longer within 0.2", from: "absorbed glass mat: 1.0, usual 0.2"},
		{name: "lithium within half", edits: []components.Edit{num("BAT1", "capacity_ah", 424)}, at: "BAT1", from: "lithium: 0.5 usual"},
		{name: "lithium above half", edits: []components.Edit{num("BAT1", "capacity_ah", 420)}, at: "BAT1", says: "lasts longer within 0.5", from: "lithium: 0.5 usual"},
	})
	edges(t, "../../testdata/topologies/t14.yaml", "battery.c-rate-limit", []edge{
		{name: "interlocked", at: "BAT4", says: "A charge of 35 A is 0.35", from: "interlocked sources count with the larger, 35 A of 35 and 30"},
		{name: "the larger alone is within", edits: []components.Edit{num("CHG1", "charge_a", 20), num("DDC1", "output_a", 19)}, at: "BAT4", from: "20 A is 0.2 of 100 Ah"},
		{name: "no interlock", edits: []components.Edit{word("DDC1", "never_with", "another")}, at: "BAT4", says: "A charge of 65 A is 0.65", from: "both at once"},
	})
	edges(t, "../../testdata/rules/battery.string-uniformity.yaml", "battery.string-uniformity", []edge{
		{name: "voltage", edits: []components.Edit{word("BAT2", "chemistry", "lfp"), num("BAT2", "nominal_v", 25.6)}, at: "BAT2", says: "of 25.6 V stands in parallel", from: "Kirchhoff"},
		{name: "within 5 %", edits: []components.Edit{word("BAT2", "chemistry", "lfp"), num("BAT2", "nominal_v", 12.8), num("BAT2", "capacity_ah", 190)}, at: "BAT2", from: "practice: 5 %"},
		{name: "beyond 5 %", edits: []components.Edit{word("BAT2", "chemistry", "lfp"), num("BAT2", "nominal_v", 12.8), num("BAT2", "capacity_ah", 189)}, at: "BAT2", says: "189 Ah stands in parallel", from: "practice: 5 %"},
		{name: "not told", edits: []components.Edit{unknown("BAT2", "chemistry")}, at: "BAT2", says: "chemistry of BAT1 or BAT2", asks: true, from: "nothing to compare"},
	})
	edges(t, oneBlock, "battery.string-uniformity", []edge{
		{name: "over-series", edits: []components.Edit{num("BAT1", "series", 4), num("BAT1", "series_max", 2)}, at: "BAT1", says: "4 blocks of BAT1 stand in series; their maker allows 2", from: "maker's limit"},
		{name: "at the limit", edits: []components.Edit{num("BAT1", "series", 4), num("BAT1", "series_max", 4)}, at: "BAT1", from: "maker's limit"},
		{name: "not told", edits: []components.Edit{num("BAT1", "series", 2)}, at: "BAT1", says: "series_max of BAT1", asks: true, from: "nothing to hold"},
	})
}

func TestPolarityEdges(t *testing.T) {
	rig := "../../testdata/rules/overcurrent.dc-polarity-and-type.yaml"
	edges(t, rig, "overcurrent.dc-polarity-and-type", []edge{
		{name: "one way", edits: []components.Edit{num("INV1", "charge_a", 0)}, at: "CB2", from: "practice: the current never turns round"},
		{name: "marked", edits: []components.Edit{word("CB2", "family", "breaker-molded-dc"), yes("CB2", "polarised")}, at: "CB2", says: "polarity marked", from: "practice"},
		{name: "not marked", edits: []components.Edit{word("CB2", "family", "breaker-molded-dc"), no("CB2", "polarised")}, at: "CB2", from: "practice"},
		{name: "not told", edits: []components.Edit{word("CB2", "family", "breaker-molded-dc")}, at: "CB2", says: "polarised of CB2", asks: true, from: "a survey that has not looked"},
		{name: "form not known, no mark", edits: []components.Edit{unknown("CB2", "family"), no("CB2", "polarised")}, at: "CB2", from: "practice: it bears no mark"},
		{name: "form not known, mark not told", edits: []components.Edit{unknown("CB2", "family")}, at: "CB2", says: "polarised of CB2", asks: true, from: "a survey that has not looked"},
		{name: "reset not known", edits: []components.Edit{word("CB2", "family", "breaker-molded-dc"), no("CB2", "polarised"), unknown("CB2", "reset")}, at: "CB2", says: "reset of CB2 is not known", asks: true, from: "a survey that has not looked"},
		{name: "resets itself", edits: []components.Edit{word("CB2", "family", "breaker-molded-dc"), no("CB2", "polarised"), word("CB2", "reset", "automatic")}, at: "CB2", says: "closes itself again", from: "183.455(a)"},
	})
}
