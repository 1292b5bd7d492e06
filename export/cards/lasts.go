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
// usable depth as told, or of their chemistry; the first of several to be empty decides.
func lasts(s *solved.State) (hours float64, says string) {
	var given grouped
	first := ""
	for _, p := range s.Circuit.Doc.Parts() {
		f, ok := s.Solution.Flows[p.ID]
		if !ok || p.Kind != &components.Battery || p.Word("role") == "starting" || f.DCAmps > -0.05 || s.Circuit.Carries(p.ID) {
			continue
		}
		amps := -f.DCAmps
		of := solved.StringOf(s.Circuit, p)
		chem, okC := tables.BatteryChemistry(p.Word("chemistry"))
		total, known := of.Least("capacity_ah") // of blocks in series the smallest is empty first
		if !okC || !known {
			return 0, fmt.Sprintf("%s gives %.0f A; how long it lasts is not known: its chemistry or capacity is missing", of.Tags(), amps)
		}
		if amps < total/100 { // at rest, but for what a charger leaves out
			continue
		}
		h := total / amps
		if chem.ID != "lfp" && amps > total/20 { // lead-acid gives less at a high rate
			h = 20 * math.Pow(total/(amps*20), chem.Peukert)
		}
		given.add(of.Tags(), "", fmt.Sprintf(" %.0f A", amps), "")
		depth := chem.UsableDoD.Value
		for i, q := range of.Parts {
			if told := q.Figure("usable_dod"); told.Known() && (i == 0 || told.Value < depth) {
				depth = told.Value
			}
		}
		if h *= depth; first == "" || h < hours {
			hours, first = h, fmt.Sprintf("%.1f h from full to %.0f %%", h, 100*(1-depth))
		}
	}
	if first == "" {
		return 0, takes(s)
	}
	return hours, "bank: " + given.String() + "; " + first
}

// takes is what house banks are charged with in a solved state.
func takes(s *solved.State) string {
	var taken grouped
	for _, p := range s.Circuit.Doc.Parts() {
		f, ok := s.Solution.Flows[p.ID]
		if ok && p.Kind == &components.Battery && p.Word("role") != "starting" && f.DCAmps > 0.5 && !s.Circuit.Carries(p.ID) {
			of, amps, verb := solved.StringOf(s.Circuit, p), f.DCAmps, " takes"
			if limit, _, known := of.ChargeLimit(); known && limit < amps {
				amps, verb = limit, " may take"
			}
			taken.add(of.Tags(), verb, fmt.Sprintf(" %.0f A", amps), "")
		}
	}
	if len(taken) == 0 {
		return ""
	}
	for i := range taken {
		if len(taken[i].tags) > 1 && taken[i].verb == " takes" {
			taken[i].verb = " take"
		}
	}
	return "bank: " + taken.String()
}

// charge tells what the banks take while only the small loads run.
func (c *Card) charge(s *solved.State) {
	var taken grouped
	for _, p := range s.Circuit.Doc.Parts() {
		f, ok := s.Solution.Flows[p.ID]
		if !ok || p.Kind != &components.Battery || f.DCAmps < 0.05 || s.Circuit.Carries(p.ID) {
			continue
		}
		of := solved.StringOf(s.Circuit, p)
		beside := "while only the small loads run"
		if len(c.Always) == 0 {
			beside = "while no AC load runs"
		}
		amps := f.DCAmps
		verb, says := " takes", fmt.Sprintf(" %.0f A", amps)
		after := " " + beside
		if limit, told, known := of.ChargeLimit(); known && limit < amps {
			amps = limit
			why := "its charge limit"
			if !told {
				why = "usual for its chemistry"
			}
			verb, says = " may take", fmt.Sprintf(" %.0f A", amps)
			after = ", " + why + ", " + beside + ", with what charges set to no more"
		}
		if ah, known := of.Least("capacity_ah"); known {
			after += fmt.Sprintf(": %.1f h from empty at that rate", ah/amps)
		}
		taken.add(of.Tags(), verb, says, after)
	}
	for _, g := range taken {
		if len(g.tags) > 1 {
			g.verb = strings.Replace(g.verb, " takes", " take", 1)
			g.after = strings.Replace(g.after, "its charge limit", "the charge limit of each", 1)
		}
		c.Charge = append(c.Charge, g.String())
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
