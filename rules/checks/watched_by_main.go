package checks

import (
	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// watchedByMain tells whether what only the breaker of a larger site outlet stands ahead
// of carries what the rig's inlet is made for, and every way on from it passes a device of
// no more than that: an adapter leaves a short to the site's breaker and an overload to the
// vehicle's main, of which cord.adapter-changes-protection tells.
func watchedByMain(p *rules.Pass, from circuit.Term, f circuit.Feed, amps float64) bool {
	site, _ := p.Doc.Part(f.Source.Part)
	if f.HasDevice() || site.Kind != &components.Shore || f.LimitA <= amps {
		return false
	}
	c, small := p.Circuit, false
	for t := range c.Walk(func(l *circuit.Link, o circuit.Term) bool {
		d, device := c.Device(*l)
		return l.Closed && c.Terms[o].Pole.Hot() && !(device && d.RatingA.Known() && d.RatingA.Value <= amps)
	}, from).Nearest() {
		q, _ := p.Doc.Part(c.Terms[t].Part)
		switch {
		case q.Kind.Role == components.Uses, q.Kind.Role == components.Converts, q.Kind == &components.Panel && c.Terms[t].Port == "bar":
			return false
		case q.Kind == &components.Inlet:
			rating := q.Figure("rating_a")
			if !rating.Known() || rating.Value >= f.LimitA || rating.Value > amps {
				return false
			}
			small = true
		}
	}
	return small
}
