package checklist

import (
	"fmt"
	"math"
	"strings"

	"rigline/components"
	"rigline/rules/tables"
)

// rest is a battery's voltage at rest, of the battery itself or of the bank at an
// inverter's studs: the figure at half charge, the band from there to 90 %.
func (b *bench) rest(at place) Expect {
	s := b.quiet()
	bats := []components.Part{at.part}
	tol := 0.02
	if at.part.Kind != &components.Battery {
		bats, tol = b.bankOf(s, at.part.ID, "dc"), 0.05
	}
	if len(bats) == 0 {
		return unknown("V", "no battery feeds %s on the drawing", at.part.ID)
	}
	p := bats[0]
	v, ok := posts(s, p.ID)
	chem, known := tables.BatteryChemistry(p.Word("chemistry"))
	volts, series := p.Figure("nominal_v"), p.Figure("series")
	if !ok || !known || !volts.Known() || !series.Known() {
		return unknown("V", "the chemistry or the voltage of %s is not told", p.ID)
	}
	high := chem.OpenCircuit(0.9) * volts.Value / chem.NominalVoltage * series.Value
	e := near(v, tol*v, "V", fmt.Sprintf("%s, rested at half charge %.2f V, at 90 %% %.2f V; ± %.0f %%", chem.Name, v, high, 100*tol))
	e.Hi, e.WarnHi = high*(1+tol), high*(1+2*tol)
	return e
}

// tenth is a tenth of the nominal voltage, left over after a pre-charge.
func (b *bench) tenth(at place) Expect {
	s := b.quiet()
	bats := b.bankOf(s, at.part.ID, "dc")
	if len(bats) == 0 || !bats[0].Figure("nominal_v").Known() {
		return unknown("V", "the voltage of the bank at %s is not known", at.part.ID)
	}
	v := bats[0].Figure("nominal_v").Value * bats[0].Figure("series").Value
	return atMost(0.1*v, 0.1*v, 0.1*v, "V", fmt.Sprintf("a tenth of %g V nominal", v))
}

// capacity is what a bank holds, in ampere-hours, ± 8 %.
func (b *bench) capacity(at place) Expect {
	sum := 0.0
	var tags []string
	for _, p := range at.bank {
		ah, n := p.Figure("capacity_ah"), p.Figure("parallel")
		if !ah.Known() || !n.Known() {
			return unknown("Ah", "the capacity of %s is not told", p.ID)
		}
		sum += ah.Value * n.Value
		tags = append(tags, string(p.ID))
	}
	return near(sum, 0.08*sum, "Ah", "capacity of a block × strings in parallel, "+strings.Join(tags, ", "))
}

// bankLimit is the largest current that an inverter's bank gives.
func (b *bench) bankLimit(at place) Expect {
	limit, tags := 0.0, []string{}
	for _, p := range b.bankOf(b.idle(), at.part.ID, "dc") {
		f, n := p.Figure("discharge_a"), p.Figure("parallel")
		if !f.Known() || !n.Known() {
			return unknown("A", "the discharge limit of %s is not told", p.ID)
		}
		limit += f.Value * n.Value
		tags = append(tags, string(p.ID))
	}
	if len(tags) == 0 {
		return unknown("A", "no battery feeds %s on the drawing", at.part.ID)
	}
	return atMost(limit, limit, limit, "A", fmt.Sprintf("the discharge limits of %s added up", strings.Join(tags, ", ")))
}

// string is one battery's share of the test load.
func (b *bench) string(at place, item *Item) Expect {
	for _, inv := range b.parts(&components.Inverter, &components.InverterCharger) {
		s, load, ok := b.test(inv)
		if !ok || !s.Solved() {
			continue
		}
		f, flows := s.Solution.Flows[at.part.ID]
		if !flows || math.Abs(f.DCAmps) < 0.5 {
			continue
		}
		if why, missing := assumed(s); missing {
			return unknown("A", "a figure on the way may be missing (%s)", why)
		}
		a := -f.DCAmps
		item.Do += fmt.Sprintf(" The test load is %s on %s.", described(load), inv.ID)
		return near(a, 0.15*math.Abs(a), "A", "its share by the lengths and sizes of the drawing, ± 15 %")
	}
	return unknown("A", "no load of known power draws on %s", at.part.ID)
}
