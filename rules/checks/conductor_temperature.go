package checks

import (
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
	"rigline/rules/solve"
)

// Temperature estimates the temperature of a run's hottest core in a solved
// state, in °C:
//
//	T = Ta + (Tr − Ta)·(I / I_r)²
//
// with Ta the air around it, Tr the rating of its insulation and I_r what it may
// carry there (the thermal model behind the ampacity tables). It neglects its
// neighbours beyond the table's own factors. ok is false where a figure is
// missing or nothing is solved.
func Temperature(c *circuit.Circuit, s *solve.Solution, run components.ID) (celsius float64, ok bool) {
	r, found := c.Doc.Run(run)
	cable, known := r.Cable()
	if !found || !known {
		return 0, false
	}
	p := rules.Over(c, s)
	ambient := c.Doc.AmbientOf(r)
	if r.Is("engine_space") {
		ambient = math.Max(ambient, 50)
	}
	celsius = ambient
	for i, l := range c.LinksOf(run) {
		if l.Core.Role() == components.G {
			continue
		}
		amps, solved := s.Amps(i)
		a, err := runAmpacity(p, r, l.Core.Role())
		if !solved || err != nil || a.Corrected <= 0 {
			continue
		}
		rated := cable.InsulationC
		switch cable.Table {
		case components.BuildingWire:
			rated = math.Min(rated, 90)
		case components.Metric230:
			rated = math.Min(rated, 70)
		}
		celsius, ok = math.Max(celsius, ambient+(rated-ambient)*(amps/a.Corrected)*(amps/a.Corrected)), true
	}
	return celsius, ok
}
