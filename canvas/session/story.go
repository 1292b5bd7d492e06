package session

import (
	"cmp"
	"fmt"
	"math"
	"math/cmplx"
	"slices"

	"rigline/components"
	"rigline/rules/checks"
	"rigline/rules/circuit"
	"rigline/rules/solve"
)

// energies tells, in a solved state, what the banks give or take and for how long,
// which loads lose the most voltage, and which conductor is warmest.
func energies(c *circuit.Circuit, s *solve.Solution) []string {
	if s.Failure != nil {
		return nil
	}
	lines := banks(c, s)
	lines = append(lines, drops(c, s)...)
	if run, celsius := warmest(c, s); run != "" {
		lines = append(lines, fmt.Sprintf("Warmest conductor: %s, about %.0f °C", run, celsius))
	}
	return lines
}

func banks(c *circuit.Circuit, s *solve.Solution) []string {
	var lines []string
	for _, p := range c.Doc.Parts() {
		f, ok := s.Flows[p.ID]
		if !ok || p.Kind != &components.Battery || math.Abs(f.DCAmps) < 0.05 {
			continue
		}
		ah := p.Figure("capacity_ah")
		total := ah.Value * p.Figure("parallel").Value
		does, until, left := "gives", "empty", total*c.State.SoC
		if f.DCAmps > 0 {
			does, until, left = "takes", "full", total-left
		}
		line := fmt.Sprintf("%s %s %.0f A", p.ID, does, math.Abs(f.DCAmps))
		if ah.Known() {
			line += fmt.Sprintf("; from %.0f %% %s in %.1f h", 100*c.State.SoC, until, left/math.Abs(f.DCAmps))
		}
		lines = append(lines, line)
	}
	return lines
}

// mostDrops is how many loads are told.
const mostDrops = 3

func drops(c *circuit.Circuit, s *solve.Solution) []string {
	type drop struct {
		id      components.ID
		v, lost float64
	}
	var all []drop
	for _, p := range c.Doc.Parts() {
		if p.Kind != &components.ACLoad || p.Gone() {
			continue
		}
		a, b, rated, ok := solve.LoadTerms(c, p)
		if !ok || !c.Live(a) {
			continue
		}
		if v, ok := s.Between(a, b); ok {
			all = append(all, drop{p.ID, cmplx.Abs(v), 100 * (1 - cmplx.Abs(v)/rated)})
		}
	}
	slices.SortStableFunc(all, func(x, y drop) int { return cmp.Compare(y.lost, x.lost) })
	var lines []string
	for _, d := range all[:min(mostDrops, len(all))] {
		lines = append(lines, fmt.Sprintf("%s gets %.1f V, %.1f %% below its rating", d.id, d.v, d.lost))
	}
	return lines
}

func warmest(c *circuit.Circuit, s *solve.Solution) (run components.ID, celsius float64) {
	for _, r := range c.Doc.Runs() {
		if t, ok := checks.Temperature(c, s, r.ID); ok && t > celsius {
			run, celsius = r.ID, t
		}
	}
	return run, celsius
}
