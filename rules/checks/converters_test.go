package checks

import (
	"testing"

	"rigline/components"
)

func TestRatedVoltageEdges(t *testing.T) {
	const wye, tenth = "√3 × 120 V = 207.8 V", "MG 1 12.44: ± 10 %, from memory"
	opposite := word("SH1", "service", "50a-120/240")
	edges(t, "../../testdata/rules/load.rated-voltage.yaml", "load.rated-voltage", []edge{
		{"240 V on a wye", nil, "LD2", "gets 208 V between its hots: a motor or a compressor overheats", false, wye},
		{"230 V bears a tenth less", []components.Edit{num("LD2", "rated_v", 230)}, "LD2", "", false, tenth},
		{"at the limit", []components.Edit{num("LD2", "rated_v", 230.9)}, "LD2", "", false, "0.9 × 230.9 V = 207.81 V"},
		{"just beyond", []components.Edit{num("LD2", "rated_v", 231)}, "LD2", "made for 231 V", false, "0.9 × 231 V = 207.9 V"},
		{"heat takes no harm", []components.Edit{word("LD2", "behaves", "resistance")}, "LD2", "it gives 75 % of its heat", false, "(207.8 ÷ 240)²"},
		{"a plate that nobody read", []components.Edit{unknown("LD2", "rated_v")}, "LD2", "rated_v of LD2 is not known", true, wye},
		{"nothing told", []components.Edit{set("LD2", "rated_v", components.Value{})}, "LD2", "its hots are 208 V apart here", true, wye},
		{"240 V on opposite legs", []components.Edit{opposite}, "LD2", "", false, "240 V"},
		{"nothing told on opposite legs", []components.Edit{opposite, set("LD2", "rated_v", components.Value{})}, "LD2", "", false, "taken for 240 V"},
		{"208 V on opposite legs", []components.Edit{opposite, num("LD2", "rated_v", 208)}, "LD2", "gets 240 V between its hots: it overheats", false, "1.1 × 208 V = 228.8 V"},
		{"a plate of 208 to 240 V there", []components.Edit{opposite, num("LD2", "rated_v", 208), num("LD2", "rated_high_v", 240)}, "LD2", "", false, "1.1 × 240 V = 264 V"},
	})
}

func TestStepDownsInParallelEdges(t *testing.T) {
	const practice = "common practice, no source"
	pair := []components.Edit{set("SD1", "shares_output", components.Yes(true)), set("SD2", "shares_output", components.Yes(true))}
	edges(t, "../../testdata/rules/supply.step-downs-in-parallel.yaml", "supply.step-downs-in-parallel", []edge{
		{"not told", nil, "SD1", "The outputs of SD1 and SD2 are joined", false, practice},
		{"one told", pair[:1], "SD1", "are not told to be made for that", false, practice},
		{"both told", pair, "SD1", "", false, "their manual"},
		{"told not to", []components.Edit{set("SD1", "shares_output", components.Yes(false)), pair[1]}, "SD1", "are not told to be made for that", false, "their manual"},
		{"nobody knows", []components.Edit{unknown("SD1", "shares_output"), pair[1]}, "SD1", "are not told to be made for that", false, practice},
		{"each its own", []components.Edit{components.RemoveRun{ID: "W12"}}, "SD1", "", false, practice},
	})
	// Behind the place where they meet the two limits add up: 60 A.
	bar := components.AddPart{Part: components.Part{ID: "BUS9", Kind: &components.Busbar, At: components.Point{X: 860, Y: 560}, Spec: components.Spec{"rating_a": components.Num(100), "pole": components.Str("+")}}}
	meet := append(pair, bar,
		components.Reroute{ID: "W11", From: port("SD1.out"), To: port("BUS9.bar"), Cores: []components.Core{{From: components.Pos, To: components.Pos}}},
		components.Reroute{ID: "W12", From: port("SD2.out"), To: port("BUS9.bar"), Cores: []components.Core{{From: components.Pos, To: components.Pos}}},
		oneCore("W91", "BUS9.bar", "DCP1.feed", components.Pos), word("W91", "size", "12 AWG"), word("W91", "cable", "battery-105"), num("W91", "length_ft", 8))
	edges(t, "../../testdata/rules/supply.step-downs-in-parallel.yaml", "overcurrent.rating-within-ampacity", []edge{
		{"thin behind two", meet, "W91", "60 A", false, "2 × 30 A on 12 AWG"},
	})
}

// Two inverters on one leg are told where they meet; a pair made for it is one source of
// both their powers.
func TestInvertersOnOneLegEdges(t *testing.T) {
	second := components.Part{ID: "INV9", Kind: &components.Inverter, At: components.Point{X: 1120, Y: 900}, Spec: components.Spec{"continuous_va": components.Num(1000), "surge_va": components.Num(2000), "dc_v": components.Num(12), "listing": components.Str("ul-458"), "output_breaker_a": components.Num(15), "fault_s": components.Num(2)}}
	beside := []components.Edit{
		components.AddPart{Part: second}, oneCore("W91", "BUS1.bar", "INV9.dc", components.Pos), oneCore("W92", "BUS2.bar", "INV9.dc", components.Neg),
		components.AddRun{Run: components.Run{ID: "W93", From: port("INV9.ac-out"), To: port("R1.in"), Spec: components.Spec{"size": components.Str("14 AWG"), "cable": components.Str("tray-90"), "length_ft": components.Num(8)}}},
	}
	pair := append(beside, set("INV1", "shares_output", components.Yes(true)), set("INV9", "shares_output", components.Yes(true)))
	const practice = "common practice, no source"
	edges(t, relayVan, "transfer.never-parallel", []edge{
		{"not told", beside, "INV1", "INV1 and INV9 push into one leg", false, practice},
		{"one told", pair[:len(pair)-1], "INV1", "are not told to be made for that", false, practice},
		{"a pair", pair, "INV1", "", false, "their manual"},
		{"a pair of other voltages", append(pair, num("INV9", "ac_v", 115)), "INV1", "push into one leg", false, practice},
	})
	load := append(pair, components.AddPart{Part: components.Part{ID: "LD9", Kind: &components.ACLoad, At: components.Point{X: 1400, Y: 900}, Spec: components.Spec{"va": components.Num(1800)}}},
		components.AddRun{Run: components.Run{ID: "W94", From: port("INV1.ac-out"), To: port("LD9.in"), Spec: components.Spec{"size": components.Str("12 AWG"), "cable": components.Str("tray-90"), "length_ft": components.Num(8)}}})
	edges(t, relayVan, "load.inverter-capacity", []edge{
		{"within both", load, "INV1", "", false, "1800 VA < 2 × 1000 VA"},
		{"beyond both", append(load, num("LD9", "va", 2100)), "INV1", "LD9 alone takes 2100 VA; INV1 gives 2000 VA", false, "2100 VA > 2 × 1000 VA"},
	})
}

func TestBuiltInBreakerEdges(t *testing.T) {
	told := func(key string, v float64) components.Edit { return num("INV1", key, v) }
	untold := set("INV1", "fault_s", components.Value{})
	edges(t, relayVan, "overcurrent.inverter-fault-level", []edge{
		{"shuts down in time", nil, "INV1", "", false, "2 s < 5 s"},
		{"nothing told", []components.Edit{untold}, "INV1", "no other source ever opens the breaker at its output", true, "5 × 15 A, common practice"},
		{"strong enough", []components.Edit{untold, told("fault_a", 75)}, "INV1", "", false, "5 × 15 A"},
		{"too weak", []components.Edit{untold, told("fault_a", 40)}, "INV1", "2.7 times the breaker at its output (15 A)", false, "5 × 15 A"},
		{"too weak, and holds on", []components.Edit{told("fault_s", 6), told("fault_a", 40)}, "INV1", "and it holds a short for 6 s", false, "6 s > 5 s"},
	})
}
