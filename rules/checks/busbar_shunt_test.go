package checks

import (
	"slices"
	"testing"

	"rigline/components"
)

func TestShuntEdges(t *testing.T) {
	rig := "../../testdata/rules/shunt.rating.fixed.yaml" // 2 kVA at 10.5 V and 0.9: 211.6 A
	edges(t, rig, "shunt.rating", []edge{
		{name: "two thirds", edits: []components.Edit{num("SHT1", "rating_a", 317.5)}, at: "SHT1", from: "practice: 2/3 × 317.5 A = 211.7 A"},
		{name: "above two thirds", edits: []components.Edit{num("SHT1", "rating_a", 316)}, at: "SHT1", says: "two thirds of its 316 A are 210.7 A", from: "practice: 211.6 A > 210.7 A"},
		{name: "above the rating", edits: []components.Edit{num("SHT1", "rating_a", 200)}, at: "SHT1", says: "and is rated 200 A", from: "211.6 A > 200 A"},
		{name: "surge at the rating", edits: []components.Edit{num("SHT1", "rating_a", 424), num("INV1", "surge_va", 4000)}, at: "SHT1", from: "4000 VA / (0.9 × 10.5 V) = 423.3 A"},
		{name: "surge above it", edits: []components.Edit{num("SHT1", "rating_a", 400), num("INV1", "surge_va", 4000)}, at: "SHT1", says: "423.3 A through SHT1, rated 400 A", from: "423.3 A > 400 A"},
		{name: "rating not told", edits: []components.Edit{unknown("SHT1", "rating_a")}, at: "SHT1", says: "rating_a of SHT1", asks: true, from: "nothing to hold"},
		{name: "neither rating nor load told", edits: []components.Edit{unknown("SHT1", "rating_a"), unknown("INV1", "continuous_va"), num("INV1", "charge_a", 50)}, at: "SHT1", says: "more: a part whose figures are not told", asks: true, from: "what is known so far passes for no more than that"},
		{name: "sense lead unfused", edits: []components.Edit{word("SHT1", "sense_lead", "unfused")}, at: "SHT1.battery", says: "has no fuse", from: "183.455(b)"},
		{name: "no sense lead", edits: []components.Edit{word("SHT1", "sense_lead", "none")}, at: "SHT1.battery", from: "nothing to burn"},
		{name: "sense lead not told", edits: []components.Edit{set("SHT1", "sense_lead", components.Value{})}, at: "SHT1", says: "sense_lead of SHT1", asks: true, from: "a survey that has not looked"},
	})
	through := "../../testdata/rules/shunt.all-negatives-through.yaml"
	edges(t, through, "shunt.all-negatives-through", []edge{
		{name: "inverter on the post", at: "W10", says: "never counted", from: "the principle of the shunt"},
		{name: "bank on the wrong side", edits: []components.Edit{
			reroute("W9", "BAT1.neg", "SHT1.system"), reroute("W91", "SHT1.battery", "BUS1.bar"), reroute("W10", "BUS1.bar", "INV1.dc", components.Neg),
		}, at: "SHT1", says: "turned round", from: "the principle of the shunt"},
	})
	bypass := "../../testdata/rules/shunt.no-bypass-path.yaml"
	edges(t, bypass, "shunt.no-bypass-path", []edge{
		{name: "bond on the post", at: "BJ1", says: "not counted", from: "the principle of the shunt"},
		{name: "and another tie", edits: []components.Edit{components.AddRun{Run: components.Run{ID: "W99", From: components.PortRef{Part: "BUS1", Port: "bar"}, To: components.PortRef{Part: "CH1", Port: "stud"},
			Cores: []components.Core{{From: components.Neg, To: components.G}}}}}, at: "BJ1", says: "close a path round it", from: "single-point grounding"},
		{name: "a cable round it", edits: []components.Edit{components.AddRun{Run: components.Run{ID: "W99", From: components.PortRef{Part: "BUS1", Port: "bar"}, To: components.PortRef{Part: "BAT1", Port: "neg"}}}},
			at: "SHT1", says: "leads round SHT1", from: "the principle of the shunt"},
	})
}

// reroute moves both ends of a run, to ports written as in a file.
func reroute(run components.ID, from, to string, pole ...components.Pole) components.Edit {
	e := components.Reroute{ID: run, From: port(from), To: port(to)}
	for _, p := range pole {
		e.Cores = append(e.Cores, components.Core{From: p, To: p})
	}
	return e
}

func port(text string) components.PortRef {
	for i := range text {
		if text[i] == '.' {
			return components.PortRef{Part: components.ID(text[:i]), Port: text[i+1:]}
		}
	}
	return components.PortRef{Part: components.ID(text)}
}

func TestBusbarEdges(t *testing.T) {
	rig := "../../testdata/rules/busbar.rating.yaml" // W9 brings 211.6 A, W10 takes it
	edges(t, rig, "busbar.rating", []edge{
		{name: "at the rating", edits: []components.Edit{num("BUS1", "rating_a", 211.7)}, at: "BUS1", from: "2000 VA / (0.9 × 10.5 V) = 211.6 A"},
		{name: "above it", edits: []components.Edit{num("BUS1", "rating_a", 210)}, at: "BUS1", says: "carries 211.6 A; it is rated 210 A", from: "the device's rating"},
		{name: "not told", edits: []components.Edit{unknown("BUS1", "rating_a")}, at: "BUS1", says: "212 A is always enough", asks: true, from: "nothing to hold"},
		{name: "inverter not told", edits: []components.Edit{unknown("INV1", "continuous_va"), num("INV1", "charge_a", 50)}, at: "INV1", says: "continuous_va of INV1", asks: true, from: "its current is not known"},
		{name: "neither bar nor inverter told", edits: []components.Edit{unknown("BUS1", "rating_a"), unknown("INV1", "continuous_va"), num("INV1", "charge_a", 50)}, at: "BUS1", says: "50 A at least, and more", asks: true, from: "the charger's 50 A are known, the inverter's current is not"},
	})
	// A second load of 60 A: 271.6 A at one end, 211.6 A across the busiest
	// section where the bank lands between.
	two := append([]components.Edit{
		components.AddPart{Part: components.Part{ID: "DL1", Kind: &components.DCLoad, At: components.Point{X: 900, Y: 500}, Spec: components.Spec{"a": components.Num(60)}}},
		components.AddRun{Run: components.Run{ID: "W40", From: port("BUS1.bar"), To: port("DL1.in")}},
		components.AddRun{Run: components.Run{ID: "W41", From: port("SW9.load"), To: port("DL1.in")}},
	}, num("BUS1", "rating_a", 250))
	edges(t, rig, "busbar.rating", []edge{
		{name: "order not told", edits: two, at: "BUS1", says: "271.6 A meet on BUS1, rated 250 A", asks: true, from: "Kirchhoff: 211.6 A or 271.6 A, by the order"},
		{name: "bank at the end", edits: append(slices.Clip(two), word("BUS1", "order", "W9 W10 W40 W11")), at: "BUS1", says: "carries 271.6 A", from: "Kirchhoff: 211.6 A + 60 A"},
		{name: "bank between", edits: append(slices.Clip(two), word("BUS1", "order", "W10, W9, W40, W11")), at: "BUS1", from: "Kirchhoff: 211.6 A"},
		{name: "a run left out", edits: append(slices.Clip(two), word("BUS1", "order", "W10 W9 W40")), at: "BUS1", says: "does not name W11", asks: true, from: "nothing is guessed"},
	})
	van := "../../projects/starts/van-12v.yaml" // the alternator's rating is not known, and it charges the starting battery alone
	edges(t, van, "busbar.rating", []edge{{name: "another circuit", at: "ALT1", from: "a DC-DC charger joins the negatives, not the currents"}})
	edges(t, van, "shunt.rating", []edge{{name: "another circuit", at: "ALT1", from: "a DC-DC charger joins the negatives, not the currents"}})
	studs := "../../testdata/rules/busbar.four-terminals-per-stud.yaml"
	edges(t, studs, "busbar.four-terminals-per-stud", []edge{
		{name: "five", at: "BAT1.neg", says: "5 terminals", from: "ABYC E-11"},
		{name: "four", edits: []components.Edit{components.RemoveRun{ID: "W22"}}, at: "BAT1.neg", from: "ABYC E-11"},
		{name: "a bar of one stud", edits: []components.Edit{num("BUS1", "studs", 1), reroute("W22", "BUS1.bar", "DL1.in", components.Neg), reroute("W25", "BUS1.bar", "DL2.in", components.Neg), reroute("W10", "BUS1.bar", "INV1.dc", components.Neg), reroute("W11", "BUS1.bar", "BJ1.a")}, at: "BUS1", says: "1 × 4 terminals fit BUS1, and 5 stand there", from: "ABYC E-11"},
	})
}
