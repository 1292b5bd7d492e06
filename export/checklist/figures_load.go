package checklist

import (
	"fmt"
	"math"

	"rigline/components"
)

// underLoad is the inverter's DC current with its test load, and what the way from
// the bank to it loses.
func (b *bench) underLoad(word string, at place, item *Item) Expect {
	unit := map[string]string{"load-dc": "A", "load-drop": "V"}[word]
	s, load, ok := b.test(at.part)
	if !ok {
		return unknown(unit, "no load of known power hangs on %s off grid: use one of known power and reckon amperes as watts / (bank volts × efficiency)", at.part.ID)
	}
	item.Do += fmt.Sprintf(" The test load is %s, %g VA.", described(load), load.Figure("va").Value)
	if !s.Solved() {
		return unknown(unit, "no solution: %s", s.Solution.Failure.Reason)
	}
	f := s.Solution.Flows[at.part.ID]
	if word == "load-dc" {
		if !at.part.Figure("efficiency").Known() {
			return unknown(unit, "the efficiency of %s is not known", at.part.ID)
		}
		return near(f.DCAmps, 0.1*f.DCAmps, "A", fmt.Sprintf("%s at %s's efficiency of %g from a half-full bank, ± 10 %%", load.ID, at.part.ID, at.part.Figure("efficiency").Value))
	}
	v, okV := volts(s, at.part.ID, "dc", components.Pos, "dc", components.Neg)
	bats := b.bankOf(s, at.part.ID, "dc")
	if !okV || len(bats) == 0 {
		return unknown(unit, "no battery feeds %s on the drawing", at.part.ID)
	}
	if why, missing := assumed(s); missing {
		return unknown(unit, "a figure on the way may be missing (%s)", why)
	}
	item.Points = fmt.Sprintf("posts of %s less DC studs of %s, same instant", bats[0].Tags(), at.part.ID)
	full, _ := bats[0].Posts(s)
	return b.drop(full-v, fmt.Sprintf("%.1f A: %s at its posts %.2f V, %s at its studs %.2f V", f.DCAmps, bats[0].Tags(), full, at.part.ID, v))
}

// joint is what one joint of the bank's loop may lose: 0.2 mΩ at the test load's
// current, and never less than a meter shows.
func (b *bench) joint(item *Item) Expect {
	for _, inv := range b.parts(&components.Inverter, &components.InverterCharger) {
		s, load, ok := b.test(inv)
		if !ok || !s.Solved() {
			continue
		}
		amps := s.Solution.Flows[inv.ID].DCAmps
		mv := math.Max(10, 0.2*amps)
		item.Do += fmt.Sprintf(" The test load is %s on %s.", described(load), inv.ID)
		return atMost(mv, mv, 1.5*mv, "mV", fmt.Sprintf("%.0f A × 0.2 mΩ a joint (common practice, no source), 10 mV at least", amps))
	}
	if !b.has("inverter") {
		return unknown("mV", "the loads that are on at the time decide: 0.2 mV for each ampere, 10 mV at least")
	}
	return unknown("mV", "no load of known power hangs on an inverter off grid: 0.2 mV for each ampere, 10 mV at least")
}

func described(p components.Part) string {
	if p.Name == "" {
		return string(p.ID)
	}
	return string(p.ID) + " " + p.Name
}
