package checklist

import (
	"fmt"
	"math"
	"strings"

	"rigline/components"
	"rigline/export/solved"
)

// rest is the voltage at rest of a battery, of a string that is drawn block by block,
// or of the bank at an inverter's studs: the figure at half charge, the band from there
// to 90 %.
func (b *bench) rest(at place) Expect {
	s := b.quiet()
	var of solved.String
	tol := 0.02
	switch {
	case at.whole:
		of = solved.StringOf(s.Circuit, at.part)
	case at.part.Kind == &components.Battery:
		of = solved.StringOf(s.Circuit, at.part)
		if of.Several() { // the block alone
			of = of.Block()
		}
	default:
		bank := b.bankOf(s, at.part.ID, "dc")
		if len(bank) == 0 {
			return unknown("V", "no battery feeds %s on the drawing", at.part.ID)
		}
		of, tol = bank[0], 0.05
	}
	if of.Missing != "" {
		return unknown("V", "%s", of.Missing)
	}
	v, ok := of.Posts(s)
	if !ok {
		return unknown("V", "%s gives no voltage by the drawing", of.Tags())
	}
	high := of.Chem.OpenCircuit(0.9) * of.Blocks
	e := near(v, tol*v, "V", fmt.Sprintf("%s, rested at half charge %.1f V, at 90 %% %.1f V; ± %.0f %%", of.Chem.Name, v, high, 100*tol))
	e.Hi, e.WarnHi = high*(1+tol), high*(1+2*tol)
	if of.Several() {
		e.Working = append(e.Working, of.Tags()+", from the positive post of "+string(of.Top().ID)+" to the negative post of "+string(of.Bottom().ID))
	}
	return e
}

// tenth is a tenth of the nominal voltage, left over after a pre-charge, which is made
// through the resistor of the drawing where it has one.
func (b *bench) tenth(at place, item *Item) Expect {
	if sw, ohms, ok := b.precharge(); ok {
		item.Do = fmt.Sprintf("Pre-charge through the resistor of %s, %g ohm, by its button, until the difference falls, then close within a few seconds.", sw, ohms)
	}
	bank := b.bankOf(b.quiet(), at.part.ID, "dc")
	if len(bank) == 0 || bank[0].Volts == 0 || bank[0].Missing != "" {
		return unknown("V", "the voltage of the bank at %s is not known", at.part.ID)
	}
	v := bank[0].Volts
	return atMost(0.1*v, 0.1*v, 0.1*v, "V", fmt.Sprintf("a tenth of %g V nominal", v))
}

// precharge is the one disconnect that has a pre-charge resistor; where several have, the
// drawing does not tell whose is meant.
func (b *bench) precharge() (sw components.ID, ohms float64, ok bool) {
	for _, p := range b.parts(&components.DCSwitch) {
		r := p.Figure("precharge_ohm")
		if r.Known() && ok {
			return "", 0, false
		}
		if r.Known() {
			sw, ohms, ok = p.ID, r.Value, true
		}
	}
	return sw, ohms, ok
}

// capacity is what a bank holds, in ampere-hours, ± 8 %: of blocks in series the
// smallest decides. Lead is not emptied for a test: it is read at its usable depth.
func (b *bench) capacity(at place, item *Item) Expect {
	sum := 0.0
	var tags []string
	for _, of := range at.bank {
		ah, known := of.Least("capacity_ah")
		if !known {
			return unknown("Ah", "the capacity of %s is not told", of.Tags())
		}
		sum += ah
		tags = append(tags, of.Tags())
	}
	if chem := at.bank[0].Chem; chem.ID != "lfp" && chem.ID != "" {
		depth := chem.UsableDoD.Value
		if told := at.bank[0].Top().Figure("usable_dod"); told.Known() {
			depth = told.Value
		}
		out := math.Round(depth * sum)
		item.Do = fmt.Sprintf("Discharge from full, timed, with a known load, until the monitor shows %g Ah out or the low alarm comes, and no further: lead suffers.", out)
		return atLeast(out, 0.95*out, 0.85*out, "Ah", fmt.Sprintf("%g %% of %g Ah, the usable depth of %s", 100*depth, sum, strings.Join(tags, ", ")))
	}
	return near(sum, 0.08*sum, "Ah", "capacity of a block × strings in parallel, "+strings.Join(tags, ", "))
}

// bankLimit is the largest current that an inverter's bank gives.
func (b *bench) bankLimit(at place) Expect {
	limit, tags := 0.0, []string{}
	for _, of := range b.bankOf(b.idle(), at.part.ID, "dc") {
		a, known := of.Least("discharge_a")
		if !known {
			return unknown("A", "the discharge limit of %s is not told", of.Tags())
		}
		limit += a
		tags = append(tags, of.Tags())
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
