package checks

import (
	"testing"

	"rigline/components"
)

// Copper and aluminum grounds, metric ones, and those that are conductors of their own.
func TestEdgesOfACGrounds(t *testing.T) {
	apart := []components.Edit{ // the ground of W4 as a wire of its own
		components.Reroute{ID: "W4", From: at("INV1.ac-out"), To: at("PNL1.main"), Cores: cores(components.L, components.N)},
		drawn("W30", "INV1.ac-out", "PNL1.main", "10 AWG", components.G),
	}
	holdRows(t, []edgeRow{
		{"clean", EquipmentGround, "a wire of its own, 10 AWG", apart, none, "250.122: 10 AWG behind 30 A"},
		{"clean", EquipmentGround, "a wire of its own, 12 AWG", append(apart[:2:2], set("W30", "size", wordOf("12 AWG"))), []string{"violation W30"}, "250.122: 10 AWG behind 30 A"},
		{"clean", EquipmentGround, "a wire of its own, not told", append(apart[:2:2], set("W30", "size", components.Unknown)), []string{"unchecked W30"}, "nothing to hold it to"},
		{"clean", EquipmentGround, "6 mm²", []components.Edit{set("W4", "size", wordOf("6 mm2"))}, none, "250.122: 10 AWG is 5.26 mm²"},
		{"clean", EquipmentGround, "4 mm² beside 6 mm²", []components.Edit{set("W4", "size", wordOf("6 mm2")), set("W4", "ground_size", wordOf("4 mm2"))}, []string{"violation W4"}, "250.122: 10 AWG is 5.26 mm²"},
		{"clean", EquipmentGround, "aluminum, 8 AWG", []components.Edit{set("W2", "metal", wordOf("aluminum")), set("W2", "size", wordOf("8 AWG")), set("W2", "ground_size", wordOf("8 AWG"))}, none, "250.122: 8 AWG aluminum to 60 A"},
		{"clean", EquipmentGround, "aluminum, 10 AWG", []components.Edit{set("W2", "metal", wordOf("aluminum")), set("W2", "size", wordOf("8 AWG")), set("W2", "ground_size", wordOf("10 AWG"))}, []string{"violation W2"}, "250.122: 8 AWG aluminum to 60 A"},
		{"clean", ChassisBond, "8 AWG", nil, none, "551.56(C)"},
		{"clean", ChassisBond, "10 AWG", []components.Edit{set("W6", "size", wordOf("10 AWG"))}, []string{"violation PNL1"}, "551.56(C): 8 AWG at least"},
		{"clean", ChassisBond, "aluminum", []components.Edit{set("W6", "metal", wordOf("aluminum"))}, []string{"violation PNL1"}, "551.56(C): copper"},
		{"clean", SourceFrames, "aluminum", []components.Edit{set("W13", "metal", wordOf("aluminum"))}, []string{"violation INV1"}, "551.20(C): copper"},
		{"clean", SourceFrames, "a carried set", []components.Edit{carried(), plugged()}, none, "250.34(A)"},
		{"clean", SourceFrames, "a mounted set with no strap", []components.Edit{carried(), set("GEN1", "frame_bonded", components.Yes(false))}, []string{"danger GEN1"}, "250.34(B)"},
		{"clean", SourceFrames, "a mounted set, not told", []components.Edit{carried()}, []string{"unchecked GEN1"}, "250.34(B)"},

		{"inlet.feeder-30a", Feeder30, "10 AWG aluminum at 75 °C, no site drawn", []components.Edit{components.RemoveRun{ID: "W1"}, components.RemovePart{ID: "SH1"}, set("W2", "size", wordOf("10 AWG")), set("W2", "cable", wordOf("tray-90")), set("W2", "terminal_c", amount(75)), set("W2", "metal", wordOf("aluminum"))}, []string{"danger W2"}, "310.16: 30 A, and 240.4(D) 25 A"},
		{"conductor.small-wire-cap", SmallWireCap, "4 mm² at 75 °C behind 25 A", []components.Edit{set("W5", "size", wordOf("4 mm2")), set("W5", "terminal_c", amount(75)), withRows("PNL1", circuitRow("", 25))}, []string{"danger W5"}, "240.4(D): taken as 12 AWG, 20 A"},
		{"conductor.small-wire-cap", SmallWireCap, "4 mm² behind 20 A", []components.Edit{set("W5", "size", wordOf("4 mm2")), withRows("PNL1", circuitRow("", 20))}, none, "240.4(D): taken as 12 AWG, 20 A"},
	})
}

// at is a port by its address.
func at(port string) components.PortRef {
	ref, err := components.ParsePortRef(port)
	if err != nil {
		panic(err)
	}
	return ref
}

func cores(poles ...components.Pole) []components.Core {
	var all []components.Core
	for _, p := range poles {
		all = append(all, components.Core{From: p, To: p})
	}
	return all
}

// drawn draws a run of 6 ft, of single conductors for 90 °C; no poles are all.
func drawn(id components.ID, from, to, size string, poles ...components.Pole) components.Edit {
	return components.AddRun{Run: components.Run{ID: id, From: at(from), To: at(to), Cores: cores(poles...),
		Spec: components.Spec{"size": components.Str(size), "cable": components.Str("tray-90"), "length_ft": components.Num(6)}}}
}

// carried is a small set, its neutral bonded, and plugged plugs it into the inlet.
func carried() components.Edit {
	return components.AddPart{Part: components.Part{ID: "GEN1", Kind: &components.Generator, At: components.Point{X: 100, Y: 200},
		Spec: components.Spec{"rating_va": components.Num(3000), "breaker_a": components.Num(30), "bonded": components.Yes(true)}}}
}

func plugged() components.Edit { return drawn("W31", "GEN1.out", "INL1.site", "10 AWG") }
