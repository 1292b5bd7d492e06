package checks

import (
	"testing"

	"rigline/components"
)

func TestFuseNotBypassedEdges(t *testing.T) {
	const practice = "a device opens what it stands in"
	rig := "../../testdata/rules/overcurrent.not-bypassed.yaml"
	edges(t, rig, "overcurrent.not-bypassed", []edge{
		{"a lead past it", nil, "F2", "over W5, W7 and W6", false, practice},
		{"taken out", []components.Edit{components.RemoveRun{ID: "W7"}}, "F2", "", false, practice},
		{"another fuse beside it", []components.Edit{
			components.AddPart{Part: components.Part{ID: "F9", Kind: &components.Fuse, At: components.Point{X: 610, Y: 400}, Spec: components.Spec{"family": components.Str("class-t"), "rating_a": components.Num(30)}}},
			components.Reroute{ID: "W7", From: port("BUS1.bar"), To: port("F9.line"), Cores: []components.Core{{From: components.Pos, To: components.Pos}}},
			oneCore("W91", "F9.load", "DCP1.feed", components.Pos),
		}, "F2", "", false, "overcurrent.not-in-parallel"},
		{"round a fuse of the block", []components.Edit{components.RemoveRun{ID: "W7"}, oneCore("W91", "DCP1.feed", "DL1.in", components.Pos)}, "DCP1.c1", "DCP1 circuit 1 opens nothing", false, practice},
	})
	// A string past the main switch keeps the bars live with the switch open, and counts with
	// all that stands beside it: 2 × 700 A of cold cranking.
	past := components.Reroute{ID: "W14", From: port("F1.load"), To: port("SW1.load"), Cores: []components.Core{{From: components.Pos, To: components.Pos}}}
	edges(t, "../../testdata/rigs/two-inlets.yaml", "disconnect.battery-disconnect-present", []edge{
		{"both behind the switch", nil, "BAT1", "", false, "ABYC E-11 11.6.1.2"},
		{"one past it", []components.Edit{past}, "BAT1", "No switch or breaker isolates BAT1 from DCP1", false, "ABYC E-11 11.6.1.2: above 800 A"},
		{"one past it, of a small bank", []components.Edit{past, num("BAT1", "cca_a", 300), num("BAT2", "cca_a", 300)}, "BAT1", "", false, "600 A"},
	})
}
