package cards

import (
	"fmt"
	"math"
	"strings"

	"rigline/components"
	"rigline/export/solved"
	"rigline/rules/tables"
)

// lasts is how long full house banks last at a solved state's current, to the
// usable depth of their chemistry; the first of several to be empty decides.
func lasts(s *solved.State) (hours float64, says string) {
	var given []string
	first := ""
	for _, p := range s.Circuit.Doc.Parts() {
		f, ok := s.Solution.Flows[p.ID]
		if !ok || p.Kind != &components.Battery || p.Word("role") == "starting" || f.DCAmps > -0.05 {
			continue
		}
		amps := -f.DCAmps
		chem, okC := tables.BatteryChemistry(p.Word("chemistry"))
		ah, parallel := p.Figure("capacity_ah"), p.Figure("parallel")
		if !okC || !ah.Known() || !parallel.Known() {
			return 0, fmt.Sprintf("%s gives %.0f A; how long it lasts is not known: its chemistry or capacity is missing", p.ID, amps)
		}
		total := ah.Value * parallel.Value
		if amps < total/100 { // at rest, but for what a charger leaves out
			continue
		}
		h := total / amps
		if chem.ID != "lfp" && amps > total/20 { // lead-acid gives less at a high rate
			h = 20 * math.Pow(total/(amps*20), chem.Peukert)
		}
		given = append(given, fmt.Sprintf("%s %.0f A", p.ID, amps))
		if h *= chem.UsableDoD.Value; first == "" || h < hours {
			hours, first = h, fmt.Sprintf("%.1f h from full to %.0f %%", h, 100*(1-chem.UsableDoD.Value))
		}
	}
	if first == "" {
		return 0, ""
	}
	return hours, "bank: " + strings.Join(given, ", ") + "; " + first
}

// charge tells what the banks take while only the small loads run.
func (c *Card) charge(s *solved.State) {
	for _, p := range s.Circuit.Doc.Parts() {
		f, ok := s.Solution.Flows[p.ID]
		if !ok || p.Kind != &components.Battery || f.DCAmps < 0.05 {
			continue
		}
		text := fmt.Sprintf("%s takes %.0f A while only the small loads run", p.ID, f.DCAmps)
		if ah := p.Figure("capacity_ah"); ah.Known() {
			text += fmt.Sprintf(": %.1f h from empty at that rate", ah.Value*p.Figure("parallel").Value/f.DCAmps)
		}
		c.Charge = append(c.Charge, text)
	}
}

// banks notes the figures that the bank's part of a card lacks.
func (c *Card) banks(doc *components.Document) {
	if c.Kind != OffGrid {
		return
	}
	for _, p := range doc.Parts() {
		if p.Gone() || p.Kind != &components.Battery || p.Word("role") == "starting" {
			continue
		}
		if !p.Figure("discharge_a").Known() {
			c.unknown("the discharge limit of %s is not known: its protection may open before the inverter's limit", p.ID)
		}
	}
}

// outlets lists the outlets that are alive on this supply.
func (c *Card) outlets(s *solved.State) {
	for _, p := range s.Circuit.Doc.Parts() {
		if p.Gone() || p.Kind != &components.Receptacle {
			continue
		}
		if t, ok := s.Circuit.At(p.ID, "in", components.L); ok && s.Circuit.Live(t) {
			c.Outlets = append(c.Outlets, Load{ID: p.ID, Name: nameOf(p)})
		}
	}
}

// motors says which loads start with more than they run on.
func (c *Card) motors(doc *components.Document, wants []want) {
	for _, w := range wants {
		p, _ := doc.Part(w.ID)
		start := p.Figure("start_va")
		if !start.Known() || start.Value <= w.VA {
			continue
		}
		text := fmt.Sprintf("%s starts with %.0f VA: start it alone, before the rest", w.Name, start.Value)
		for _, l := range c.Limits {
			id, _, _ := strings.Cut(l.Hot, " ")
			src, _ := doc.Part(components.ID(id))
			if surge := src.Figure("surge_va"); surge.Known() && start.Value > surge.Value {
				text += fmt.Sprintf("; %s gives at most %.0f VA, so it may not start", id, surge.Value)
				break
			}
		}
		c.Starts = append(c.Starts, text)
	}
}
