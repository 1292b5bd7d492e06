package checklist

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/export/solved"
)

// charge is what an inverter/charger draws from shore and gives the bank while it
// charges alone.
func (b *bench) charge(word string, at place) Expect {
	s := b.charging()
	if !s.Solved() {
		return unknown("A", "no solution on shore: %s", s.Solution.Failure.Reason)
	}
	if why, missing := s.Solution.Assumed[at.part.ID]; missing {
		return unknown("A", "%s", why)
	}
	f, ok := s.Solution.Flows[at.part.ID]
	if !ok || f.DCAmps == 0 {
		return unknown("A", "%s does not charge on shore by the drawing", at.part.ID)
	}
	amps, limit := math.Abs(f.DCAmps), b.chargeLimit(s, at.part)
	share, held := 1.0, ""
	if limit > 0 && limit < amps { // it is set lower than it could
		share, held = limit/amps, fmt.Sprintf("set to the %g A that the bank is charged with, as the settings have it; it could give %.0f A", limit, amps)
	}
	if word == "charge-ac" {
		pole := components.L
		if _, ok := s.Circuit.At(at.part.ID, "ac-in", pole); !ok {
			pole = components.L1
		}
		a, ok := drawnAt(s, at.part.ID, "ac-in", pole)
		if !ok {
			return unknown("A", "nothing feeds the input of %s on shore", at.part.ID)
		}
		a *= share
		e := near(a, 0.2*a, "A", "its input current by the drawing, bulk charging with every load off, ± 20 %")
		return e.because(held)
	}
	e := near(amps*share, 0.2*amps*share, "A", "its charge current by the drawing, bulk charging, ± 20 %").because(held)
	if set := at.part.Figure("charge_a"); set.Known() && set.Value*1.05 < e.Hi {
		e.Hi, e.WarnHi = set.Value*1.05, set.Value*1.05
		e.Working = append(e.Working, fmt.Sprintf("not above the %g A that it is set to, and 5 %%", set.Value))
	}
	if limit > 0 && limit*1.05 < e.Hi {
		e.Hi, e.WarnHi = limit*1.05, limit*1.05
		e.Working = append(e.Working, fmt.Sprintf("not above the bank's charge limit of %g A", limit))
	}
	return e
}

// because adds a line to the working, where there is one to add.
func (e Expect) because(line string) Expect {
	if line != "" {
		e.Working = append(e.Working, line)
	}
	return e
}

// chargeLimit is what the bank of a charger is charged with at most, as the settings
// have it, 0 where it does not follow from the drawing.
func (b *bench) chargeLimit(s *solved.State, p components.Part) float64 {
	limit := 0.0
	for _, of := range b.bankOf(s, p.ID, "dc") {
		a, _, known := of.ChargeLimit()
		if !known {
			return 0
		}
		limit += a
	}
	return limit
}

// inputLimit is what the card of a supply sets a device to.
func (b *bench) inputLimit(at place, item *Item) Expect {
	for _, c := range b.sites() {
		for _, set := range c.Set {
			if set.Device != at.part.ID || c.Title != at.name {
				continue
			}
			var a float64
			if _, err := fmt.Sscanf(set.Value, "%g A", &a); err != nil {
				item.Points, item.Do = "charging on this supply", fmt.Sprintf("Set it: %s %s.", set.What, set.Value)
				return Expect{Kind: Check, Working: []string{set.What + " " + set.Value + ": " + set.Why}}
			}
			return atMost(a, a, a, "A", "as on the card of this supply: "+set.Why)
		}
	}
	return unknown("A", "no card sets %s", at.part.ID)
}

// idleAmps is what an inverter draws without a load, from a half-full bank.
func (b *bench) idleAmps(at place) Expect {
	s := b.idle()
	if !at.part.Figure("idle_w").Known() {
		return unknown("A", "the idle power of %s is not told", at.part.ID)
	}
	f, ok := s.Solution.Flows[at.part.ID]
	if !s.Solved() || !ok {
		return unknown("A", "%s does not run on the bank by the drawing", at.part.ID)
	}
	return near(f.DCAmps, 0.3*f.DCAmps, "A", fmt.Sprintf("idle power %g W at the bank's voltage, ± 30 %%", at.part.Figure("idle_w").Value))
}
