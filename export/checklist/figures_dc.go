package checklist

import (
	"fmt"
	"math"
	"strings"

	"rigline/components"
	"rigline/export/solved"
)

// torque is the maker's torque of a terminal as told, ± 10 %.
func (b *bench) torque(at place) Expect {
	told, says := 0.0, false
	for _, r := range b.doc.RunsAt(at.at) {
		key := "from_torque_nm"
		if r.From != at.at {
			key = "to_torque_nm"
		}
		if f := r.Figure(key); f.Known() && !r.Gone() {
			if says && f.Value != told {
				return unknown("N·m", "two runs at %s tell different torques", at.at)
			}
			told, says = f.Value, true
		}
	}
	if !says {
		return unknown("N·m", "the torque is by the maker's label")
	}
	return near(told, 0.1*told, "N·m", "the maker's torque as told in the drawing, ± 10 %")
}

// dcLoad is the current of a DC load, and the drop to it from the bank's posts, or from
// the converter that feeds it, with all DC loads on.
func (b *bench) dcLoad(word string, at place, item *Item) Expect {
	s := b.loads()
	unit := map[string]string{"dc-amps": "A", "dc-drop": "V"}[word]
	if !s.Solved() {
		return unknown(unit, "no solution: %s", s.Solution.Failure.Reason)
	}
	if why, missing := s.Solution.Assumed[at.part.ID]; missing {
		return unknown(unit, "%s", why)
	}
	if word == "dc-amps" {
		f, ok := s.Solution.Flows[at.part.ID]
		if !ok {
			return unknown(unit, "nothing feeds %s on the bank alone", at.part.ID)
		}
		_, share, through := b.wayTo(s, at.part)
		if through.ID == "" {
			return loadAmps(math.Abs(f.DCAmps))
		}
		item.Do = strings.Replace(item.Do, "moves by the clamp value", fmt.Sprintf("moves by the value expected here, which is not the clamp's at the load: %s stands between", through.ID), 1)
		return loadAmps(math.Abs(f.DCAmps) * share).because(fmt.Sprintf("%.1f A at the load, through %s at an efficiency of %g", math.Abs(f.DCAmps), through.ID, through.Figure("efficiency").Value))
	}
	v, ok := volts(s, at.part.ID, "in", components.Pos, "in", components.Neg)
	bats := b.bankOf(s, at.part.ID, "in")
	from, full, where := "", 0.0, "posts"
	if len(bats) > 0 {
		from = bats[0].Tags()
		full, _ = bats[0].Posts(s)
	} else if from, full = b.converted(s, at.part); from != "" {
		where = "output"
		item.Points = fmt.Sprintf("output of %s less the load's own terminals, all DC loads running", from)
		item.Do = strings.Replace(item.Do, "the bank and the load", "that output and the load", 1)
	}
	if !ok || from == "" {
		return unknown(unit, "no battery and no converter stands on the circuit of %s", at.part.ID)
	}
	if why, missing := assumed(s); missing {
		return unknown(unit, "a figure on the way may be missing (%s)", why)
	}
	return b.drop(full-v, fmt.Sprintf("%s at its %s %.2f V, %s at its terminals %.2f V, all DC loads on", from, where, full, at.part.ID, v))
}

// loadAmps is the current of a DC load within what a meter and its rating leave open.
// A small load must still be seen: neither nothing nor a reversed reading passes.
func loadAmps(a float64) Expect {
	const meter, seen = 0.3, 0.5
	tol := 0.05*a + meter
	if tol < seen*a {
		return near(a, tol, "A", "its current by the drawing at a half-full bank; ± 5 % and 0.3 A for the meter")
	}
	e := near(a, seen*a, "A", "its current by the drawing at a half-full bank; half of it must be seen, + 5 % and 0.3 A for the meter; a meter that shows hundredths")
	e.Hi, e.WarnHi = a+tol, a+2*tol
	e.WarnLo = e.Lo
	return e
}

// converted is the converter that feeds a DC load, and its voltage at its output.
func (b *bench) converted(s *solved.State, load components.Part) (tag string, out float64) {
	t, ok := s.Circuit.At(load.ID, "in", components.Pos)
	if !ok {
		return "", 0
	}
	for _, f := range s.Circuit.Feeds(t) {
		if p, _ := b.doc.Part(f.Part); p.Kind == &components.DCConverter {
			if v, ok := volts(s, p.ID, "out", components.Pos, "out", components.Neg); ok {
				return string(p.ID), v
			}
		}
	}
	return "", 0
}

// drop is what a drop may come to: joints add up to 30 %, and a meter shows
// hundredths of a volt.
func (b *bench) drop(figure float64, working string) Expect {
	return atMost(figure, 1.3*figure+0.02, 1.6*figure+0.04, "V", working, fmt.Sprintf("%.2f V by the drawing, + 30 %% for joints, + 0.02 V for the meter", figure))
}

// stepDown is the output of a converter as it is told.
func (b *bench) stepDown(at place) Expect {
	v := at.part.Figure("out_v")
	if !v.Known() {
		return unknown("V", "the output of %s is not told", at.part.ID)
	}
	return near(v.Value, 0.03*v.Value, "V", "its output as told in the drawing")
}
