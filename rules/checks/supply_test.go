package checks

import (
	"testing"

	"rigline/components"
)

const cleanRig = "../../testdata/rules/clean.yaml"

func circuits(n int, amps float64) components.Edit {
	rows := make([]components.Spec, n)
	for i := range rows {
		rows[i] = components.Spec{"breaker_a": components.Num(amps)}
	}
	return set("PNL1", "circuits", components.Table(rows...))
}

// fill hangs a load on circuits 2 to n of the clean rig's panel.
func fill(n int) []components.Edit {
	edits := []components.Edit{circuits(n, 15)}
	for i := 2; i <= n; i++ {
		edits = append(edits, hang(components.ID("LD"+string(rune('0'+i))), "c"+string(rune('0'+i)))...)
	}
	return edits
}

func hang(id components.ID, port string) []components.Edit {
	return []components.Edit{
		components.AddPart{Part: components.Part{ID: id, Kind: &components.ACLoad, At: components.Point{X: 900, Y: 600}, Spec: components.Spec{"va": components.Num(100)}}},
		components.AddRun{Run: components.Run{ID: "W9" + id[2:], From: components.PortRef{Part: "PNL1", Port: port}, To: components.PortRef{Part: id, Port: "in"},
			Spec: components.Spec{"size": components.Str("14 AWG"), "cable": components.Str("tray-90"), "length_ft": components.Num(5)}}},
	}
}

func TestSupplyEdges(t *testing.T) {
	edges(t, cleanRig, "panel.circuit-count", []edge{
		{"five on 30 A", fill(5), "INL1", "", false, "552.44(C): two to five circuits on 30 A"},
		{"six on 30 A", fill(6), "INL1", "6 branch circuits hang on the 30 A inlet INL1, which may feed 5", false, "552.44(C)"},
		{"six with a manager", append(fill(6), set("PNL1", "energy_manager", components.Yes(true))), "INL1", "", false, "551.42(C), from memory"},
		{"one on 20 A", []components.Edit{num("INL1", "rating_a", 20)}, "INL1", "", false, "551.42(B), from memory"},
		{"two on 20 A", append(fill(2), num("INL1", "rating_a", 20)), "INL1", "2 branch circuits hang on the 20 A inlet INL1, which may feed 1", false, "551.42(B), from memory"},
	})
	edges(t, cleanRig, "overcurrent.main-within-supply", []edge{
		{"at the inlet", fill(3), "PNL1.main", "", false, "551.45(C): 30 A main, 30 A inlet"},
		{"above it", append(fill(3), num("PNL1", "main_a", 35), num("CB1", "rating_a", 35)), "CB1", "CB1 is 35 A behind the 30 A inlet INL1", false, "551.45(C)"},
		{"no main, its own breaker ahead", append(fill(3), set("PNL1", "main_a", components.Value{})), "PNL1", "", false, "CB1 is the main"},
		{"not told", append(fill(3), unknown("PNL1", "main_a"), unknown("CB1", "rating_a")), "CB1", "the rating of CB1", true, "nothing to hold against"},
	})
	edges(t, cleanRig, "panel.rating-covers-supply", []edge{
		{"at the main", nil, "PNL1", "", false, "408.36: 30 A bars behind 30 A"},
		{"not told", []components.Edit{unknown("PNL1", "bus_a")}, "PNL1", "bus_a of PNL1 is not known", true, "nothing to hold against"},
		{"below the site and the main", []components.Edit{num("PNL1", "bus_a", 25)}, "PNL1", "rated 25 A", false, "408.36"},
	})
	edges(t, cleanRig, "bonding.equipment-ground-size", []edge{
		{"10 AWG behind 30 A", []components.Edit{word("W4", "ground_size", "10 AWG")}, "W4", "", false, "Table 250.122: 60 A, 10 AWG"},
		{"12 AWG behind 30 A", []components.Edit{word("W4", "ground_size", "12 AWG")}, "W4", "is 12 AWG; behind", false, "Table 250.122: 30 A wants 10 AWG (the row of 20 A ends at 12 AWG)"},
		{"lines enlarged", []components.Edit{word("W4", "size", "8 AWG"), word("W4", "ground_size", "10 AWG")}, "W4", "it is 8 AWG at least", false, "250.122(B): 10380 × 16510 / 10380 = 16510 cmil"},
		{"enlarged together", []components.Edit{word("W4", "size", "8 AWG"), word("W4", "ground_size", "8 AWG")}, "W4", "", false, "250.122(B)"},
		{"unknown and it matters", []components.Edit{word("W4", "size", "6 AWG"), unknown("W4", "ground_size")}, "W4", "ground core of W4 is not told", true, "6 AWG wanted"},
	})
	edges(t, cleanRig, "load.never-fed", []edge{
		{"fed", nil, "LD1", "", false, "fed on shore and off grid"},
		{"not connected", []components.Edit{components.RemoveRun{ID: "W5"}}, "LD1", "Nothing is connected to LD1", false, "common practice"},
	})
	with := func(shore, offGrid components.State) []components.Edit {
		shore.Name, shore.Shore, shore.SoC = "Shore", "30a-120", 0.5
		offGrid.Name, offGrid.SoC = "Off grid", 0.5
		return []components.Edit{components.SetStates{States: []components.State{shore, offGrid}}}
	}
	off := components.State{Off: []components.ID{"LD2"}}
	edges(t, "../../testdata/rules/load.always-off.yaml", "load.always-off", []edge{
		{"off in both states", nil, "LD2", "switched off in every state that feeds it (Shore, Off grid)", false, "common practice"},
		{"on in one", with(off, components.State{}), "LD2", "", false, "common practice"},
		{"another alone is on", with(components.State{On: []components.ID{"LD1"}}, off), "LD2", "switched off in every state", false, "the only loads on"},
		{"alone on in one", with(components.State{On: []components.ID{"LD2"}}, off), "LD2", "", false, "the only loads on"},
		{"no states told", []components.Edit{components.SetStates{}}, "LD2", "", false, "all runs in states that are worked out"},
		{"fed in none", []components.Edit{components.RemoveRun{ID: "W14"}}, "LD2", "", false, "load.never-fed speaks"},
	})
	edges(t, "../../testdata/rules/overcurrent.not-in-neutral.yaml", "overcurrent.not-in-neutral", []edge{
		{"in the neutral", nil, "F2", "F2 stands in the neutral alone", false, "240.22"},
	})
	edges(t, cleanRig, "panel.no-source-loop", []edge{{"separate bars", nil, "INV1", "", false, "551.33"}})
}
