package cards

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/export/solved"
	"rigline/rules/circuit"
)

// outlets lists the outlets that are alive on this supply, each with the most that its
// breaker and the hot that feeds it allow for hours.
func (c *Card) outlets(s *solved.State, lines []line) {
	feeds := s.Feeds()
	for _, p := range s.Circuit.Doc.Parts() {
		if p.Gone() || p.Kind != &components.Receptacle {
			continue
		}
		t, ok := s.Circuit.At(p.ID, "in", components.L)
		if !ok || !s.Circuit.Live(t) {
			continue
		}
		l, most := Load{ID: p.ID, Name: nameOf(p)}, math.Inf(1)
		for _, i := range s.Circuit.LinksAt(t) {
			for _, f := range feeds[i] {
				if d := f.Last; d != nil && d.Part != "" && d.RatingA.Known() && d.RatingA.Value < most {
					most, _ = held(s.Circuit.Doc, d.RatingA.Value, "")
					l.Why = fmt.Sprintf("at most %v A, behind %s of %v A", most, d, d.RatingA.Value)
				}
			}
		}
		for _, ln := range lines {
			if _, feeds := ways(s.Circuit, ln.source.Hot, components.Pole.Hot)[t]; feeds && ln.Amps < most {
				most = ln.Amps
				l.Why = fmt.Sprintf("no more than is left: %s gives %.1f A in all", c.gives(ln), most)
			}
		}
		c.plugged = max(c.plugged, most)
		c.Outlets = append(c.Outlets, l)
	}
}

// gives is the name of what a hot belongs to: the supply, where the card has no other hot.
func (c *Card) gives(l line) string {
	if len(c.Limits) == 1 {
		return "the supply"
	}
	return l.Hot
}

// leftAtOutlets is what the ways to the outlets have left in a solved state, so that it
// holds in whichever something is plugged: the least of their sources' hots, of what is
// on the way and of the neutrals back, +Inf where no outlet is alive.
func (c *Card) leftAtOutlets(s *solved.State, lines []line) float64 {
	left := math.Inf(1)
	for k, l := range lines {
		hots := ways(s.Circuit, l.source.Hot, components.Pole.Hot)
		var neutrals map[circuit.Term]int
		if summed(lines, l)[0] == k {
			neutrals = ways(s.Circuit, l.source.Return, isNeutral)
		}
		for _, o := range c.Outlets {
			if at, ok := s.Circuit.At(o.ID, "in", components.L); ok {
				left = min(left, leftOnHot(s, l, hots, at))
			}
			at, ok := s.Circuit.At(o.ID, "in", components.N)
			if !ok {
				continue
			}
			back(s.Circuit, neutrals, at, func(i int) {
				rated, _ := c.returns(s.Circuit, s.Circuit.Links[i])
				if a, solved := s.Solution.Amps(i); rated > 0 && solved {
					left = min(left, max(0, rated-a))
				}
			})
		}
	}
	return left
}

// leftOnHot is what a hot and the breakers and contacts between its source and a terminal
// have left, a breaker of what it may carry for hours; +Inf where it does not reach there.
// What an inverter/charger on the way takes for charging counts as free: by its input
// limit it gives that back for what it passes on.
func leftOnHot(s *solved.State, of line, via map[circuit.Term]int, at circuit.Term) float64 {
	left, charging, passing := math.Inf(1), 0.0, -1.0
	if _, reached := via[at]; !reached {
		return left
	}
	back(s.Circuit, via, at, func(i int) {
		l := s.Circuit.Links[i]
		a, ok := s.Solution.Amps(i)
		if !ok {
			return
		}
		if passing >= 0 { // the first link ahead of its input has both
			charging, passing = charging+max(0, a-charging-passing), -1
		}
		if p, found := s.Circuit.Doc.Part(l.Part); found && p.Kind == &components.InverterCharger && l.Join.When == components.Passing {
			passing = a
		}
		if l.Part == "" {
			return
		}
		rated, _ := ratedOf(s.Circuit, l)
		if _, breaker := s.Circuit.Device(l); breaker {
			rated, _ = held(s.Circuit.Doc, rated, "")
		}
		if rated > 0 {
			left = min(left, max(0, rated-(a-charging)))
		}
	})
	return min(left, max(0, of.Amps-(s.Drawn(of.source.Hot)-charging)))
}
