package checks

import (
	"testing"

	"rigline/components"
)

// W4 feeds PNL1 from INV1 with no ground in it; both stand on the chassis stud.
func TestGroundWithCircuitEdges(t *testing.T) {
	rig := "../../testdata/rules/bonding.ground-with-circuit.yaml"
	beside := components.AddRun{Run: components.Run{ID: "W99", From: components.PortRef{Part: "INV1", Port: "ac-out"}, To: components.PortRef{Part: "PNL1", Port: "main"}, Cores: []components.Core{{From: components.G, To: components.G}}}}
	edges(t, rig, "bonding.ground-with-circuit", []edge{
		{name: "over the stud", at: "W4", says: "No ground goes with the hot of W4", from: "NEC 250.134, 300.3(B)"},
		{name: "a single conductor beside it", edits: []components.Edit{beside}, at: "W4", from: "300.3(B): the same raceway serves"},
		{name: "nothing at all", edits: []components.Edit{components.RemoveRun{ID: "W6"}}, at: "W4", from: "bonding.ground-path-unbroken speaks"},
	})
}
