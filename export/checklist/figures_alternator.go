package checklist

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/export/solved"
)

// alternator is what an alternator gives, and what its feed loses to what it
// charges.
func (b *bench) alternator(word string, at place) Expect {
	s := b.engine()
	unit := map[string]string{"feed-drop": "V", "alternator-amps": "A"}[word]
	if !s.Solved() {
		return unknown(unit, "no solution with the engine running: %s", s.Solution.Failure.Reason)
	}
	f, ok := s.Solution.Flows[at.part.ID]
	if !ok {
		return unknown(unit, "%s feeds nothing on the drawing", at.part.ID)
	}
	if word == "alternator-amps" {
		limit := at.part.Figure("rating_a")
		if !limit.Known() {
			return unknown(unit, "the rating of %s is not told", at.part.ID)
		}
		return atMost(math.Abs(f.DCAmps), limit.Value, limit.Value, "A", fmt.Sprintf("%.1f A by the drawing with no load on; its rating is %g A, and hot at idle it is good for less", math.Abs(f.DCAmps), limit.Value))
	}
	if why, missing := assumed(s); missing {
		return unknown(unit, "a figure on the way may be missing (%s)", why)
	}
	from, _ := volts(s, at.part.ID, "out", components.Pos, "out", components.Neg)
	far, end := b.chargedBy(s, at.part)
	if end == "" {
		return unknown(unit, "nothing that %s charges is on the drawing", at.part.ID)
	}
	return b.drop(from-far, fmt.Sprintf("%s gives %.1f A in all: %s %.2f V, %s %.2f V", at.part.ID, math.Abs(f.DCAmps), at.part.ID, from, end, far))
}

// chargedBy is the voltage at a DC charger on the alternator's circuit, or else at
// a battery there.
func (b *bench) chargedBy(s *solved.State, alt components.Part) (float64, string) {
	t, ok := s.Circuit.At(alt.ID, "out", components.Pos)
	if !ok {
		return 0, ""
	}
	for _, p := range b.parts(&components.DCCharger) {
		if x, found := s.Circuit.At(p.ID, "in", components.Pos); found && s.Circuit.Net(x) == s.Circuit.Net(t) {
			if v, ok := volts(s, p.ID, "in", components.Pos, "in", components.Neg); ok {
				return v, string(p.ID)
			}
		}
	}
	for _, of := range b.bankOf(s, alt.ID, "out") {
		if v, ok := of.Posts(s); ok {
			return v, of.Tags()
		}
	}
	return 0, ""
}
