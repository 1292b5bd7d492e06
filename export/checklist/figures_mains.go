package checklist

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/export/solved"
)

// alive is whether a breaker's circuit is alive in a state: the answer is yes where
// it is found so.
func (b *bench) alive(s *solved.State, at place, state string) Expect {
	port := at.port()
	live, dead := 0, 0
	for _, pole := range []components.Pole{components.L1, components.L2, components.L} {
		if t, ok := s.Circuit.At(at.part.ID, port, pole); ok {
			if s.Circuit.Live(t) {
				live++
			} else {
				dead++
			}
		}
	}
	says := "alive"
	switch {
	case live == 0:
		says = "dead"
	case dead > 0:
		says = "half alive, one leg of two"
	}
	return Expect{Kind: Check, Found: says, Working: []string{says + " " + state + " by the drawing"}}
}

// siteLegs is the voltage between the two legs of the site.
func (b *bench) siteLegs() Expect {
	if b.site.Word("service") == "50a-120/208" {
		return Expect{Kind: Band, Lo: 198, Hi: 218, WarnLo: 190, WarnHi: 225, Unit: "V", Figure: 207.8, HasFigure: true, Working: []string{"two legs of a three-phase site, 120 V × √3"}}
	}
	return Expect{Kind: Band, Lo: 228, Hi: 252, WarnLo: 202, WarnHi: 260, Unit: "V", Figure: 240, HasFigure: true, Working: []string{"two opposite legs of 120 V"}}
}

// output is the voltage of a leg that an inverter makes.
func (b *bench) output(at place) Expect {
	v := at.part.Figure("ac_v")
	if !v.Known() {
		return unknown("V", "the output voltage of %s is not told", at.part.ID)
	}
	return near(v.Value, 0.05*v.Value, "V", "its voltage a leg by the drawing")
}

// outputLegs is the voltage between the two legs that an inverter makes.
func (b *bench) outputLegs(at place) Expect {
	if at.part.Word("inverts") == "both-in-phase" {
		return atMost(0, 8, 16, "V", "both legs in phase: their neutral carries the sum")
	}
	return near(240, 8, "V", "two opposite legs of 120 V")
}

// generatorLegs is the voltage between the two legs of a generator.
func (b *bench) generatorLegs() Expect {
	for _, p := range b.parts(&components.Generator) {
		switch p.Word("legs") {
		case "opposite":
			return near(240, 8, "V", string(p.ID)+" has opposite windings")
		case "same-phase":
			return atMost(0, 8, 16, "V", string(p.ID)+" feeds both legs in phase: the neutral carries the sum")
		}
	}
	return unknown("V", "the windings of the generator are not told: measure and tell the drawing")
}

// What an appliance must still work on: ANSI C84.1, range B of utilization voltage,
// 104 of 120 V; IEC 60038, 10 % at the supply and 4 % in the installation.
const (
	rangeB         = 104.0 / 120
	iecUtilization = 0.86
)

// panelVolts is the lowest voltage of a leg at any panel on shore with everything
// on.
func (b *bench) panelVolts(at place) Expect {
	s := b.shore()
	if !s.Solved() {
		return unknown("V", "no solution on shore: %s", s.Solution.Failure.Reason)
	}
	lowest, which := math.Inf(1), ""
	for _, p := range b.parts(&components.Panel) {
		for _, pole := range []components.Pole{components.L1, components.L2, components.L} {
			t, ok := s.Circuit.At(p.ID, "main", pole)
			if !ok {
				continue
			}
			for _, f := range s.Circuit.Feeds(t) {
				if f.Part != at.part.ID || s.Circuit.Terms[f.Hot].Pole != at.pole {
					continue
				}
				if v, ok := volts(s, p.ID, "main", pole, "main", components.N); ok && v < lowest {
					lowest, which = v, string(p.ID)
				}
			}
		}
	}
	if infinite(lowest) {
		return unknown("V", "no panel hangs on %s", at.id)
	}
	mains := b.doc.MainsVolts()
	least := rangeB * mains
	if b.doc.Basis == components.Caravan {
		least = iecUtilization * mains
	}
	return atLeast(lowest, 0.9*mains, least, "V", fmt.Sprintf("%.1f V at %s by the drawing, from a site of %g V with every load on", lowest, which, mains))
}
