package session

import (
	"fmt"
	"math"
	"math/cmplx"
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
	"rigline/rules/solve"
)

// shade tells for every live run which source feeds it, and how much of the
// source's voltage is lost on the way to its far end.
func (l *Live) shade(c *circuit.Circuit, sol *solve.Solution) {
	for i := range c.Links {
		k := &c.Links[i]
		if !k.Closed {
			continue
		}
		for _, t := range []circuit.Term{k.A, k.B} {
			if !c.Live(t) {
				continue
			}
			src := c.Feeds(t)[0]
			id := k.Run
			if id == "" {
				id = k.Part
			}
			if _, known := l.By[id]; !known {
				l.By[id] = src.Part
			}
			if k.Run == "" {
				continue
			}
			if lost, ok := lostAt(sol, src, t); ok {
				l.Lost[id] = math.Max(l.Lost[id], lost)
			}
		}
	}
	for _, s := range c.Sources {
		first := c.Feeds(s.Hot)[0].Part // of several on one net
		l.By[s.Part] = first
		if s.Part != first && !slices.Contains(l.With[first], s.Part) {
			l.With[first] = append(l.With[first], s.Part)
		}
	}
	for _, src := range l.By {
		if !slices.Contains(l.Order, src) {
			l.Order = append(l.Order, src)
		}
	}
	slices.SortFunc(l.Order, components.CompareIDs)
}

// lostAt is how much less voltage there is at a terminal than at its source, in
// per cent, both against the source's return at the source: with the drop of the
// return conductor it comes to what the load misses.
func lostAt(sol *solve.Solution, src circuit.Source, t circuit.Term) (float64, bool) {
	c := sol.Circuit
	whole, ok := sol.Between(src.Hot, src.Return)
	if !ok || cmplx.Abs(whole) < 1 {
		return 0, false
	}
	back := src.Return
	term := c.Terms[t]
	if near, ok := c.At(term.Part, term.Port, c.Terms[src.Return].Pole); ok && c.Net(near) == c.Net(src.Return) {
		back = near
	}
	here, ok := sol.Between(t, back)
	if !ok {
		return 0, false
	}
	return math.Max(0, 100*(1-cmplx.Abs(here)/cmplx.Abs(whole))), true
}

// bonds tags the places where neutral and ground meet.
func (l *Live) bonds(c *circuit.Circuit) {
	for _, isle := range c.Islands() {
		for _, b := range isle.Bonds {
			tag := Tag{At: b.At, Text: "N–G of " + string(isle.Source)}
			if len(isle.Bonds) > 1 {
				tag.Level = rules.Danger
			}
			l.Tags = append(l.Tags, tag)
		}
		if len(isle.Bonds) == 0 {
			l.Tags = append(l.Tags, Tag{At: string(isle.Source), Text: "no N–G", Level: rules.Danger})
		}
	}
}

// The voltages within which a load is taken to be unharmed, as parts of its rated
// one: ANSI C84.1, range B of utilization voltage, 104 V to 127 V at 120 V.
const (
	leastVolts = 104.0 / 120
	mostVolts  = 127.0 / 120
)

// follows tags every load with what a fault leaves it, and tells what flows in
// grounds.
func (l *Live) follows(o *solve.Outcome) {
	var lines []string
	for _, v := range o.Loads {
		tag := Tag{At: string(v.Load), Text: fmt.Sprintf("%s %.0f V", v.Load, v.After)}
		part := v.After / v.Rated
		switch {
		case v.After < 1:
			tag.Text, tag.Level = string(v.Load)+" 0 V", rules.Advice
		case part > mostVolts || part < leastVolts:
			tag.Level = rules.Danger
		}
		l.Tags = append(l.Tags, tag)
		if math.Abs(v.After-v.Before) >= 0.5 {
			lines = append(lines, fmt.Sprintf("%s: %.0f V before, %.0f V now, %.0f %% of its rated %.0f V", v.Load, v.Before, v.After, v.Percent(), v.Rated))
		}
	}
	const most = 4
	for _, g := range o.Ground[:min(most, len(o.Ground))] {
		lines = append(lines, fmt.Sprintf("%s carries %s of ground current", g.At, amps(g.Amps)))
	}
	if o.SiteTrips {
		lines = append(lines, fmt.Sprintf("The site's ground-fault device sees %.0f mA and trips", o.ResidualMA))
	}
	if len(lines) == 0 {
		lines = []string{"No load and no ground current changes"}
	}
	l.Lines = append(append([]string{"What if " + l.Fault.String() + "?"}, lines...), l.Lines...)
}

// of tells what a part or run does in the state, for a hover.
func (l *Live) of(id components.ID) []string {
	on, ok := l.On[id]
	if !ok {
		return nil
	}
	if on.Dead {
		return []string{"Dead in the state " + l.State}
	}
	line := ""
	if src, ok := l.By[id]; ok && src != id {
		line = "On the net of " + string(src)
	}
	if on.Figure != "" {
		line = join(line, on.Figure)
	}
	if lost, ok := l.Lost[id]; ok && lost >= 0.05 {
		line = join(line, fmt.Sprintf("%.1f %% lost on the way", lost))
	}
	if line == "" {
		return nil
	}
	return []string{line}
}

func join(a, b string) string {
	if a == "" {
		return b
	}
	return a + " · " + b
}
