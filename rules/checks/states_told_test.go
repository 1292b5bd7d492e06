package checks

import (
	"testing"

	"rigline/components"
)

// What no state has on, and what no state can have on, is never solved. Sources: common
// practice, no source.
func TestEdgesOfStatesTold(t *testing.T) {
	const practice = "common practice, no source: what is not solved is not checked"
	told := func(states ...components.State) components.Edit { return components.SetStates{States: states} }
	offGrid := components.State{Name: "Off grid", SoC: 0.5}
	shore := components.State{Name: "Plugged in", Shore: "30a-120", SoC: 0.5}
	generator := components.AddPart{Part: components.Part{ID: "GEN1", Kind: &components.Generator, At: components.Point{X: 100, Y: 240},
		Spec: components.Spec{"rating_va": amount(3600), "breaker_a": amount(30), "bonded": components.Yes(true)}}}
	alternator := components.AddPart{Part: components.Part{ID: "ALT1", Kind: &components.Alternator, At: components.Point{X: 60, Y: 700}, Spec: components.Spec{"rating_a": amount(120)}}}
	array := components.AddPart{Part: components.Part{ID: "PV1", Kind: &components.SolarArray, At: components.Point{X: 60, Y: 800}}}
	byHand := components.AddPart{Part: components.Part{ID: "TS1", Kind: &components.TransferSwitch, At: components.Point{X: 600, Y: 800}, Spec: components.Spec{"manual": components.Yes(true)}}}
	two := "overcurrent.common-trip.fixed" // an inlet of two legs
	fifty := components.State{Name: "Shore", Shore: "50a-120/240", SoC: 0.5}
	holdRows(t, []edgeRow{
		{"clean", NoState, "none told", nil, none, practice},
		{"clean", NoState, "both told", []components.Edit{told(shore, offGrid)}, none, practice},
		{"clean", NoState, "no site", []components.Edit{told(offGrid)}, []string{"violation SH1"}, practice},
		{"clean", NoState, "never off grid", []components.Edit{told(shore)}, []string{"violation BAT1"}, practice},
		{"clean", NoState, "another site's service", []components.Edit{told(offGrid, components.State{Name: "At home", Shore: "15a-120"})}, none, practice},
		{"clean", NoState, "a generator drawn later", []components.Edit{told(shore, offGrid), generator}, []string{"violation GEN1"}, practice},
		{"clean", NoState, "the generator told", []components.Edit{told(shore, offGrid, components.State{Name: "Generator", Generator: true}), generator}, none, practice},
		{"clean", NoState, "an alternator drawn later", []components.Edit{told(shore, offGrid), alternator}, []string{"violation ALT1"}, practice},
		{"clean", NoState, "driving", []components.Edit{told(shore, offGrid, components.State{Name: "Driving", Engine: true}), alternator}, none, practice},
		{"clean", NoState, "an array drawn later", []components.Edit{told(shore, offGrid), array}, []string{"violation PV1"}, practice},
		{"clean", NoState, "in the sun", []components.Edit{told(shore, offGrid, components.State{Name: "Sun", Sun: 0.5}), array}, none, practice},
		{"clean", NoState, "a bypass drawn later", []components.Edit{told(shore, offGrid), byHand}, []string{"violation TS1"}, practice},
		{"clean", NoState, "the bypass told", []components.Edit{told(shore, offGrid, components.State{Name: "Bypass", Shore: "30a-120", Bypass: true}), byHand}, none, practice},
		{"clean", NoState, "the inverter kept off", []components.Edit{told(shore, components.State{Name: "Off grid", SoC: 0.5, Off: []components.ID{"INV1"}})}, []string{"violation INV1"}, practice},
		{"clean", NoState, "the inverter off at night", []components.Edit{told(shore, offGrid, components.State{Name: "Night", SoC: 0.5, Off: []components.ID{"INV1"}})}, none, practice},
		{two, NoState, "two legs, no adapter", []components.Edit{told(fifty, offGrid)}, []string{"violation INL1"}, practice},
		{two, NoState, "two legs, one adapter", []components.Edit{told(fifty, offGrid, components.State{Name: "Adapter", Shore: "30a-120-adapter"})}, none, practice},

		{"clean", NoSite, "plugged in", nil, none, practice},
		{"clean", NoSite, "no site", []components.Edit{components.RemoveRun{ID: "W1"}, components.RemovePart{ID: "SH1"}}, []string{"violation INL1"}, practice},
		{"clean", NoSite, "the cord not drawn", []components.Edit{components.RemoveRun{ID: "W1"}}, []string{"violation INL1"}, practice},
		{"clean", NoSite, "the inlet of no use yet", []components.Edit{components.RemoveRun{ID: "W1"}, components.RemoveRun{ID: "W2"}}, none, practice},
		{"clean", NoSite, "a carried generator", []components.Edit{components.RemoveRun{ID: "W1"}, components.RemovePart{ID: "SH1"}, generator, drawn("W20", "GEN1.out", "INL1.site", "10 AWG")}, none, practice},
	})
}

// A second site supply of another kind gives what it is, whatever the first gives: its
// cord is held to its own breaker.
func TestSitesOfTwoKinds(t *testing.T) {
	second := func(size string) []components.Edit {
		return []components.Edit{
			components.AddPart{Part: components.Part{ID: "SH2", Kind: &components.Shore, At: components.Point{X: 60, Y: 700}, Spec: components.Spec{"service": wordOf("15a-120")}}},
			components.AddPart{Part: components.Part{ID: "INL2", Kind: &components.Inlet, At: components.Point{X: 180, Y: 700}, Spec: components.Spec{"rating_a": amount(15)}}},
			components.AddPart{Part: components.Part{ID: "LD9", Kind: &components.ACLoad, At: components.Point{X: 500, Y: 700}, Spec: components.Spec{"va": amount(900)}}},
			components.AddRun{Run: components.Run{ID: "W80", From: at("SH2.out"), To: at("INL2.site"), Spec: components.Spec{"size": wordOf("14 AWG"), "cable": wordOf("cord-shore"), "length_ft": amount(25)}}},
			drawn("W81", "INL2.rig", "LD9.in", size),
		}
	}
	small := append(second("14 AWG"), set("SH1", "service", wordOf("15a-120")), set("SH2", "service", wordOf("30a-120")))
	holdRows(t, []edgeRow{
		{"clean", AmpacityCovers, "15 A beside 30 A, 14 AWG", second("14 AWG"), none, "240.4(D): 14 AWG 15 A"},
		{"clean", CordAdapter, "each at its own", second("14 AWG"), none, "551.71: the inlet is the outlet's"},
		{"clean", AmpacityCovers, "30 A beside 15 A, 14 AWG", small, []string{"danger W81"}, "310.16, 110.14(C): 14 AWG 15 A"},
		{"clean", CordAdapter, "30 A at a 15 A inlet beside 15 A", small, []string{"danger W80"}, "551.71"},
	})
}
