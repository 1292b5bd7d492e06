package checks

import (
	"testing"

	"rigline/components"
)

func TestVoltageDropEdges(t *testing.T) {
	// Out and back 26 ft of 10 AWG: 26 × 1.24 Ω/1000 ft = 32.2 mΩ at 75 °C (NEC
	// Chapter 9 Table 8), and little else before it.
	feeder := "../../testdata/rules/voltage-drop.critical-3-percent.yaml"
	edges(t, feeder, "voltage-drop.critical-3-percent", []edge{
		{name: "12 A", at: "DCP1", says: "3.3 % of 12 V", from: "12 A × 32.2 mΩ = 0.387 V > 0.36 V"},
		{name: "10.8 A", edits: []components.Edit{num("DL1", "a", 10.8)}, at: "DCP1", from: "10.8 A × 32.2 mΩ = 0.348 V < 0.36 V"},
		{name: "at 20 °C", edits: []components.Edit{components.SetProject{Title: "cold", Basis: "us-rv", Units: "us", AmbientC: 20, ConductorTempC: 20}}, at: "DCP1", from: "12 A × 26.5 mΩ = 0.318 V"},
	})
	lamps := "../../testdata/rules/voltage-drop.general-10-percent.yaml"
	edges(t, lamps, "voltage-drop.general-10-percent", []edge{
		{name: "8 A", at: "DL1", says: "% of 12 V", from: "8 A × 60 × 3.14 Ω/1000 ft = 1.51 V > 1.2 V"},
		{name: "6 A", edits: []components.Edit{num("DL1", "a", 6)}, at: "DL1", from: "6 A × (188 + 6.2) mΩ = 1.17 V"},
		{name: "critical", edits: []components.Edit{set("DL1", "critical", components.Yes(true))}, at: "DL1", from: "the other rule holds it to 3 %"},
	})
	edges(t, lamps, "voltage-drop.critical-3-percent", []edge{
		{name: "critical", edits: []components.Edit{set("DL1", "critical", components.Yes(true)), num("DL1", "a", 3)}, at: "DL1", says: "3 % is the limit", from: "3 A × 0.19 Ω = 0.57 V > 0.36 V"},
	})
}
