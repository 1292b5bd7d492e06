package checks

import (
	"testing"

	"rigline/components"
)

// Three arrays of Isc 10.2 A meet on BUS5: 125 % × 3 × 10.2 A = 38.25 A leaves by one
// lug (NEC 2017, 690.8(A)(1)). With that lug between the others the busiest section
// carries two of them, 25.5 A.
func TestArrayBarEdges(t *testing.T) {
	rig := "../../testdata/topologies/t12.yaml"
	order := func(s string) components.Edit { return word("BUS5", "order", s) }
	edges(t, rig, "busbar.rating", []edge{
		{name: "all of it", edits: []components.Edit{num("BUS5", "rating_a", 38.3)}, at: "BUS5", from: "38.25 A"},
		{name: "more than all but for the order", edits: []components.Edit{num("BUS5", "rating_a", 38)}, at: "BUS5", asks: true, says: "the order of its lugs", from: "25.5 A < 38 A < 38.25 A"},
		{name: "outlet at the end", edits: []components.Edit{num("BUS5", "rating_a", 38), order("W46 W49 W52 W58")}, at: "BUS5", says: "carries 38.25 A", from: "38.25 A"},
		{name: "outlet between", edits: []components.Edit{num("BUS5", "rating_a", 26), order("W46 W58 W49 W52")}, at: "BUS5", from: "25.5 A"},
		{name: "less than the best order", edits: []components.Edit{num("BUS5", "rating_a", 25)}, at: "BUS5", says: "carries 25.5 A", from: "25.5 A > 25 A"},
		{name: "the negative bar", edits: []components.Edit{num("BUS6", "rating_a", 25)}, at: "BUS6", says: "carries 25.5 A", from: "25.5 A > 25 A"},
		{name: "Isc not told", edits: []components.Edit{unknown("PV2", "isc_a")}, at: "PV2", asks: true, says: "what BUS5 has to carry", from: "nothing to hold"},
	})
}
