package checks

import (
	"testing"

	"rigline/components"
)

func TestChargerDirectionEdges(t *testing.T) {
	rig := "../../testdata/rules/alternator.dcdc-direction.yaml"
	const practice = "common practice, no source"
	edges(t, rig, "alternator.dcdc-direction", []edge{
		{"from the house bank", nil, "DDC1", "its input and output are crossed", false, practice},
		{"what keeps a starting battery full", []components.Edit{num("DDC1", "output_a", 10)}, "DDC1", "", false, practice},
		{"just above that", []components.Edit{num("DDC1", "output_a", 11)}, "DDC1", "its input and output are crossed", false, practice},
		{"an output that nobody read", []components.Edit{unknown("DDC1", "output_a")}, "DDC1", "output_a of DDC1 is not known", true, practice},
		{"another one charges the bank", []components.Edit{
			components.AddPart{Part: components.Part{ID: "DDC2", Kind: &components.DCCharger, At: components.Point{X: 860, Y: 1100}, Spec: components.Spec{"output_a": components.Num(30), "in_v": components.Num(12), "out_v": components.Num(12.8)}}},
			oneCore("W91", "BAT3.pos", "DDC2.in", components.Pos), oneCore("W92", "BAT3.neg", "DDC2.in", components.Neg), oneCore("W93", "DDC2.out", "BUS2.bar", components.Pos), oneCore("W94", "DDC2.out", "BUS4.bar", components.Neg),
		}, "DDC1", "", false, practice},
	})
	edges(t, "../../testdata/rules/alternator.dcdc-direction.fixed.yaml", "alternator.dcdc-direction", []edge{
		{"turned round", nil, "DDC1", "", false, practice},
	})
}

func TestStartingReserveEdges(t *testing.T) {
	const practice = "common practice, no source"
	edges(t, "../../testdata/rules/battery.starting-reserve.yaml", "battery.starting-reserve", []edge{
		{"a fridge", nil, "BAT3", "hangs DL4", false, practice},
		{"the vehicle's own", []components.Edit{components.Describe{ID: "DL4", Name: "Radio", Status: components.Existing}}, "BAT3", "", false, practice},
		{"an alarm", []components.Edit{yes("DL4", "always_on")}, "BAT3", "", false, practice},
		{"no house bank", []components.Edit{word("BAT1", "role", "starting"), word("BAT2", "role", "starting")}, "BAT3", "", false, practice},
	})
	edges(t, "../../testdata/rules/battery.starting-reserve.fixed.yaml", "battery.starting-reserve", []edge{
		{"on the bars of the house bank", nil, "BAT3", "", false, practice},
	})
}

func TestParallelStringsEdges(t *testing.T) {
	const iec = "IEC 62548, from memory: within 5 %"
	edges(t, "../../testdata/rules/solar.parallel-strings-alike.yaml", "solar.parallel-strings-alike", []edge{
		{"three beside two", nil, "PV2", "PV2 of 66 V and PV1 of 44 V", false, iec},
		{"5 % more", []components.Edit{num("PV2", "series", 2), num("PV2", "voc_v", 23.15)}, "PV2", "", false, iec},
		{"a little more than that", []components.Edit{num("PV2", "series", 2), num("PV2", "voc_v", 23.2)}, "PV2", "PV2 of 46.4 V and PV1 of 44 V", false, iec},
		{"another controller's", []components.Edit{components.RemoveRun{ID: "W21"}}, "PV2", "", false, iec},
	})
}

// oneCore is a run of one pole.
func oneCore(id components.ID, from, to string, pole components.Pole) components.Edit {
	return components.AddRun{Run: components.Run{ID: id, From: port(from), To: port(to), Cores: []components.Core{{From: pole, To: pole}},
		Spec: components.Spec{"size": components.Str("4 AWG"), "cable": components.Str("battery-105"), "length_ft": components.Num(5)}}}
}
