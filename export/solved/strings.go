package solved

import (
	"fmt"
	"math"
	"strings"

	"rigline/components"
	"rigline/rules/circuit"
	"rigline/rules/tables"
)

// String is batteries in series from the top down: one part that tells its blocks, or
// several that are drawn one by one. What the whole gives follows from all of them.
type String struct {
	Parts   []components.Part
	Chem    tables.Chemistry
	Volts   float64 // nominal, of the whole string
	Blocks  float64 // of 12 V
	Missing string  // why chemistry and voltages do not follow from the drawing; "" where they do
}

// StringOf is a battery with those in series below it.
func StringOf(c *circuit.Circuit, top components.Part) String {
	var s String
	for _, id := range c.InSeries(top.ID) {
		p, _ := c.Doc.Part(id)
		s.Parts = append(s.Parts, p)
	}
	for i, p := range s.Parts {
		chem, known := tables.BatteryChemistry(p.Word("chemistry"))
		volts, series := p.Figure("nominal_v"), p.Figure("series")
		if !known || !volts.Known() || !series.Known() {
			s.Missing = fmt.Sprintf("the chemistry or the voltage of %s is not known", p.ID)
			return s
		}
		if i > 0 && chem.ID != s.Chem.ID {
			s.Missing = fmt.Sprintf("%s and %s stand in series and differ in chemistry: one profile cannot serve both", s.Parts[0].ID, p.ID)
			return s
		}
		own := volts.Value * series.Value
		s.Chem, s.Volts, s.Blocks = chem, s.Volts+own, s.Blocks+own/chem.NominalVoltage
	}
	return s
}

// Top is the battery whose positive is the string's.
func (s String) Top() components.Part { return s.Parts[0] }

// Bottom is the battery whose negative is the string's.
func (s String) Bottom() components.Part { return s.Parts[len(s.Parts)-1] }

// Several tells whether its batteries are drawn one by one.
func (s String) Several() bool { return len(s.Parts) > 1 }

// Block is its top battery by itself.
func (s String) Block() String {
	top := s.Top()
	own := top.Figure("nominal_v").Value * top.Figure("series").Value
	s.Parts = s.Parts[:1]
	if s.Missing == "" {
		s.Volts, s.Blocks = own, own/s.Chem.NominalVoltage
	}
	return s
}

// Tags names it: "BAT1", "BAT1 + BAT2 in series".
func (s String) Tags() string {
	var all []string
	for _, p := range s.Parts {
		all = append(all, string(p.ID))
	}
	text := strings.Join(all, " + ")
	if s.Several() {
		text += " in series"
	}
	return text
}

// Least is the smallest of a figure of its batteries, each with what stands in
// parallel within it: the current through all of them is the same. known is false
// where one does not tell it.
func (s String) Least(key string) (least float64, known bool) {
	least = math.Inf(1)
	for _, p := range s.Parts {
		f, n := p.Figure(key), p.Figure("parallel")
		if !f.Known() || !n.Known() {
			return 0, false
		}
		least = min(least, f.Value*n.Value)
	}
	return least, true
}

// Posts is the voltage from its positive to its negative post in a state, in volts;
// ok is false where nothing is solved there.
func (s String) Posts(at *State) (volts float64, ok bool) {
	if !at.Solved() {
		return 0, false
	}
	x, okX := at.Circuit.At(s.Top().ID, "pos", components.Pos)
	y, okY := at.Circuit.At(s.Bottom().ID, "neg", components.Neg)
	if !okX || !okY {
		return 0, false
	}
	v, ok := at.Solution.Between(x, y)
	return real(v), ok
}

// StringsAt are the strings whose positive feeds a terminal, starting batteries
// included, in tag order.
func (s *State) StringsAt(t circuit.Term) []String {
	var all []String
	for _, f := range s.Circuit.Feeds(t) {
		if p, _ := s.Circuit.Doc.Part(f.Part); p.Kind == &components.Battery {
			all = append(all, StringOf(s.Circuit, p))
		}
	}
	return all
}

// CountedBy are the house strings whose current a shunt measures: those whose negative
// comes to its battery side by another way than through it.
func (s *State) CountedBy(shunt components.Part) []String {
	t, ok := s.Circuit.At(shunt.ID, "battery", components.Neg)
	if !ok {
		return nil
	}
	nets := s.Circuit.Nets(func(l *circuit.Link) bool { return l.Closed && l.Part != shunt.ID })
	var all []String
	for _, p := range s.Circuit.Doc.Parts() {
		if p.Kind != &components.Battery || p.Gone() || p.Word("role") == "starting" || s.Circuit.Carries(p.ID) {
			continue
		}
		of := StringOf(s.Circuit, p)
		if n, found := s.Circuit.At(of.Bottom().ID, "neg", components.Neg); found && nets[n] == nets[t] {
			all = append(all, of)
		}
	}
	return all
}

// ChargeLimit is the most that charges it, in amperes: as told of its weakest battery,
// or else what is usual for its chemistry and capacity. known is false where neither
// follows from the drawing.
func (s String) ChargeLimit() (amps float64, told, known bool) {
	if limit, ok := s.Least("charge_a"); ok {
		return limit, true, true
	}
	ah, ok := s.Least("capacity_ah")
	if !ok || s.Missing != "" {
		return 0, false, false
	}
	return ah * s.Chem.ChargeRate.Usual, false, true
}
