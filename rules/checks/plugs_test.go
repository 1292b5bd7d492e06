package checks

import (
	"testing"

	"rigline/components"
)

// Two site outlets whose cords end at one inlet are two ways to be fed, one plug at a time;
// joined ahead of the inlet they feed one conductor. An adapter that brings a leg each is one
// supply with one bond behind it.
func TestTwoOutletsAtAnInletEdges(t *testing.T) {
	const one, practice = "an inlet takes one plug", "common practice, no source"
	rig := "../../testdata/topologies/t01.yaml"
	cord := components.Spec{"size": components.Str("10 AWG"), "cable": components.Str("cord-shore"), "length_ft": components.Num(25)}
	site := components.AddPart{Part: components.Part{ID: "SH9", Kind: &components.Shore, At: components.Point{X: 120, Y: 400}, Spec: components.Spec{"service": components.Str("30a-120")}}}
	second := []components.Edit{site, components.AddRun{Run: components.Run{ID: "W91", From: port("SH9.out"), To: port("INL1.site"), Spec: cord}}}
	y := []components.Edit{
		site, components.AddPart{Part: components.Part{ID: "J9", Kind: &components.Splice, At: components.Point{X: 180, Y: 300}}},
		components.AddRun{Run: components.Run{ID: "W91", From: port("SH9.out"), To: port("J9.a"), Spec: cord}},
		components.AddRun{Run: components.Run{ID: "W92", From: port("J9.b"), To: port("INL1.site"), Spec: cord}},
		components.Reroute{ID: "W1", From: port("SH1.out"), To: port("J9.a")},
	}
	edges(t, rig, "transfer.never-parallel", []edge{
		{"two cords to one inlet", second, "SH1", "", false, one},
		{"a Y", y, "SH1", "SH1 and SH9 feed the same conductor", false, practice},
	})
	state := func(off ...components.ID) components.State {
		return components.State{Name: "At the site", Shore: "30a-120", SoC: 0.5, Off: off}
	}
	camp := components.State{Name: "Off grid", SoC: 0.5}
	edges(t, rig, "supply.no-state", []edge{
		{"worked out", second, "SH9", "", false, one},
		{"in no state of its own", append(second, components.SetStates{States: []components.State{state(), camp}}), "SH9", "SH9 is plugged in at INL1 in none of the project's states", false, one},
		{"in a state that leaves the other out", append(second, components.SetStates{States: []components.State{state(), {Name: "At home", Shore: "30a-120", SoC: 0.5, Off: []components.ID{"SH1"}}, camp}}), "SH9", "", false, one},
		{"the first in none", append(second, components.SetStates{States: []components.State{state("SH1"), camp}}), "SH1", "SH1 is plugged in at INL1 in none", false, one},
	})
	// Two inlets are two cords: their neutrals joined inside the rig are two ways back.
	edges(t, rig, "neutral.one-bond-per-state", []edge{
		{"two cords to one inlet", second, "SH1", "", false, one},
		{"two inlets on one panel", []components.Edit{
			site, components.AddPart{Part: components.Part{ID: "INL9", Kind: &components.Inlet, At: components.Point{X: 230, Y: 400}, Spec: components.Spec{"rating_a": components.Num(30)}}},
			components.AddRun{Run: components.Run{ID: "W91", From: port("SH9.out"), To: port("INL9.site"), Spec: cord}},
			components.AddRun{Run: components.Run{ID: "W92", From: port("INL9.rig"), To: port("PNL1.main"), Cores: []components.Core{{From: components.N, To: components.N}}, Spec: cord}},
		}, "SH1", "SH9 (site bond)", false, practice},
	})
}
