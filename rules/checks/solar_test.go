package checks

import (
	"testing"

	"rigline/components"
)

const pvRig = "../../testdata/rules/solar.battery-first.fixed.yaml" // 2S2P of 27.2 V, 9 A on a 100 V controller

func TestSolarEdges(t *testing.T) {
	edges(t, pvRig, "solar.cold-voc-limit", []edge{
		{name: "three of 27.2 V", edits: []components.Edit{num("PV1", "series", 3), set("PV1", "voc_pct_per_c", components.Value{})}, at: "CC1", from: "690.7(A): 3 × 27.2 V × 1.16 = 94.7 V"},
		{name: "four of 27.2 V", edits: []components.Edit{num("PV1", "series", 4), set("PV1", "voc_pct_per_c", components.Value{})}, at: "CC1", says: "PV1 reaches 126.2 V", from: "690.7(A): 4 × 27.2 V × 1.16 = 126.2 V"},
		{name: "at the limit", edits: []components.Edit{num("PV1", "voc_v", 50/1.111)}, at: "CC1", from: "2 × 45.0 V × 1.111 = 100 V"},
		{name: "no label", edits: []components.Edit{unknown("PV1", "voc_v")}, at: "PV1", says: "voc_v of PV1 is not known", asks: true, from: "nothing to look up"},
		{name: "no limit", edits: []components.Edit{unknown("CC1", "max_pv_v")}, at: "CC1", says: "max_pv_v of CC1 is not known", asks: true, from: "nothing to hold it to"},
	})
	edges(t, pvRig, "solar.hot-vmp-minimum", []edge{
		{name: "one of 18.2 V", edits: []components.Edit{num("PV1", "series", 1), num("PV1", "vmp_v", 18.2)}, at: "PV1", says: "14.92 V with hot cells; CC1 needs 15.6 V", from: "18.2 V × 0.82 = 14.9 V < 14.6 V + 1 V"},
		{name: "two of 18.2 V", edits: []components.Edit{num("PV1", "vmp_v", 18.2)}, at: "PV1", from: "29.8 V"},
	})
	edges(t, pvRig, "solar.conductor-156-percent", []edge{
		{name: "10 AWG at 25.6 A", edits: []components.Edit{num("PV1", "isc_a", 12.8)}, at: "W20", from: "690.8: 1.5625 × 25.6 A = 40 A, 10 AWG 90 °C 40 A"},
		{name: "10 AWG at 25.8 A", edits: []components.Edit{num("PV1", "isc_a", 12.9)}, at: "W19", says: "the array asks for 40.31 A", from: "690.8: 40.3 A > 40 A"},
		{name: "hot roof", edits: []components.Edit{num("W19", "ambient_c", 75)}, at: "W19", says: "20 A where it lies", from: "310.15(B)(1): 75 °C, 90 °C column 0.50: 20 A < 22.5 A"},
		{name: "no label", edits: []components.Edit{unknown("PV1", "isc_a")}, at: "PV1", says: "isc_a of PV1", asks: true, from: "nothing to look up"},
		{name: "heat not told, 22.7 A", edits: []components.Edit{num("PV1", "isc_a", 11.3), set("W19", "ambient_c", components.Value{})}, at: "W19", from: "310.15(B)(1): 60 °C, 40 A × 0.71 = 28.4 A ≥ 1.25 × 22.6 A"},
		{name: "heat not told, 22.8 A", edits: []components.Edit{num("PV1", "isc_a", 11.4), set("W19", "ambient_c", components.Value{})}, at: "W19", says: "ambient_c of W19 is not told: at 60 °C", asks: true, from: "310.15(B)(1): 28.4 A < 1.25 × 22.8 A"},
	})
	edges(t, pvRig, "solar.string-fusing", []edge{
		{name: "two strings", at: "PV1", from: "690.9(A) exception: 11 A ≤ 15 A"},
		{name: "three strings", edits: []components.Edit{num("PV1", "parallel", 3), num("PV1", "isc_a", 8.8)}, at: "PV1", says: "22 A into a shorted string", from: "690.9(A): 2 × 1.25 × 8.8 A = 22 A > 15 A"},
		{name: "three, fused", edits: []components.Edit{num("PV1", "parallel", 3), num("PV1", "isc_a", 8.8), num("PV1", "string_fuse_a", 15)}, at: "PV1", from: "690.9(B): 13.75 A ≤ 15 A ≤ 15 A"},
		{name: "fuse over the module's", edits: []components.Edit{num("PV1", "parallel", 3), num("PV1", "string_fuse_a", 20)}, at: "PV1", says: "stand 15 A at most", from: "690.9(B)"},
		{name: "fuse under bright sun", edits: []components.Edit{num("PV1", "parallel", 3), num("PV1", "string_fuse_a", 12)}, at: "PV1", says: "15 A at least", from: "690.9(B): 1.5625 × 9 A = 14.06 A"},
		{name: "three, label not told", edits: []components.Edit{num("PV1", "parallel", 3), unknown("PV1", "max_fuse_a")}, at: "PV1", says: "max_fuse_a of PV1", asks: true, from: "nothing to hold it to"},
		{name: "three, fuses not told", edits: []components.Edit{num("PV1", "parallel", 3), unknown("PV1", "string_fuse_a")}, at: "PV1", says: "whether each string", asks: true, from: "a survey that has not looked"},
	})
	edges(t, pvRig, "solar.battery-first", []edge{
		{name: "at 125 %", edits: []components.Edit{num("SW1", "rating_a", 22.5)}, at: "SW1", from: "1.25 × 18 A = 22.5 A"},
		{name: "below", edits: []components.Edit{num("SW1", "rating_a", 20)}, at: "SW1", says: "PV1 asks for 22.5 A", from: "1.25 × 18 A = 22.5 A"},
		{name: "not told", edits: []components.Edit{unknown("SW1", "rating_a")}, at: "SW1", says: "rating_a of SW1", asks: true, from: "nothing to hold"},
	})
}

func TestControllerOutputEdges(t *testing.T) {
	rig := "../../testdata/rules/solar.battery-first.fixed.yaml" // 20 A out, F2 30 A on 8 AWG, 0.5 ft from the bar
	edges(t, rig, "solar.controller-output-protection", []edge{
		{name: "at the bank", at: "CC1", from: "690.9(A)"},
		{name: "18 in", edits: []components.Edit{num("W16", "length_ft", 1.5)}, at: "CC1", from: "552.10(E)(4): 18 in"},
		{name: "over 18 in", edits: []components.Edit{num("W16", "length_ft", 1.6)}, at: "CC1", says: "F2 stands 19.2 in", from: "552.10(E)(4): 18 in"},
		{name: "length not told", edits: []components.Edit{unknown("W16", "length_ft")}, at: "W16", says: "between the bank's side and F2", asks: true, from: "nothing to hold"},
		{name: "125 % of the output", edits: []components.Edit{num("CC1", "output_a", 64)}, at: "W17", from: "690.8(B): 1.25 × 64 A = 80 A, 8 AWG 105 °C 80 A"},
		{name: "above it", edits: []components.Edit{num("CC1", "output_a", 65)}, at: "W17", says: "asks for 81.25 A", from: "690.8(B)"},
		{name: "output not told", edits: []components.Edit{unknown("CC1", "output_a")}, at: "CC1", says: "output_a of CC1", asks: true, from: "nothing to hold"},
		{name: "array over the controller", edits: []components.Edit{num("CC1", "max_pv_a", 17)}, at: "CC1", says: "push 18 A; CC1 stands 17 A", from: "its manual"},
		{name: "array at the controller", edits: []components.Edit{num("CC1", "max_pv_a", 18)}, at: "CC1", from: "its manual"},
	})
}

func TestNoControllerEdges(t *testing.T) {
	rig := "../../testdata/rules/solar.no-controller.yaml" // 2 × 9 A on 200 Ah, 18 V at full power on 12.8 V
	agm := func(edits ...components.Edit) []components.Edit {
		return append([]components.Edit{word("BAT1", "chemistry", "agm"), num("BAT1", "nominal_v", 12)}, edits...)
	}
	const nec = "NEC 2014 690.72(A), from memory: less than 3 % of 200 Ah is less than 6 A"
	edges(t, rig, "solar.no-controller", []edge{
		{"lithium", nil, "PV1", "up to 24.44 V", false, "data sheets: 14.6 V at most"},
		{"lithium, however small", []components.Edit{num("PV1", "isc_a", 0.5), num("PV1", "parallel", 1)}, "PV1", "up to 24.44 V", false, "data sheets: 14.6 V at most"},
		{"lead, just below", agm(num("PV1", "isc_a", 5.9), num("PV1", "parallel", 1)), "PV1", "", false, nec},
		{"lead, at the limit", agm(num("PV1", "isc_a", 6), num("PV1", "parallel", 1)), "PV1", "it boils the bank dry", false, nec},
		{"lead, above", agm(), "PV1", "it boils the bank dry", false, nec},
		{"lead, small and matched at the limit", agm(num("PV1", "isc_a", 1), num("PV1", "vmp_v", 19.2)), "PV1", "", false, "1.6 × 12 V, common practice"},
		{"lead, small and of another voltage", agm(num("PV1", "isc_a", 1), num("PV1", "vmp_v", 19.3)), "PV1", "it boils the bank dry", false, "1.6 × 12 V, common practice"},
		{"the capacity not told", agm(unknown("BAT1", "capacity_ah")), "PV1", "how PV1 compares with BAT1", true, "nothing to compare"},
		{"the chemistry not told", []components.Edit{unknown("BAT1", "chemistry")}, "PV1", "how PV1 compares with BAT1", true, "nothing to compare"},
	})
	edges(t, "../../testdata/rules/solar.no-controller.fixed.yaml", "solar.no-controller", []edge{
		{"a controller between", nil, "PV1", "", false, "NEC 690.72(A)"},
	})
}
