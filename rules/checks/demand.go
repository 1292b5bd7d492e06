package checks

import (
	"fmt"
	"math"
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// demandKey is the figure that a part's DC current follows from.
func demandKey(q components.Part) string {
	switch q.Kind {
	case &components.Inverter, &components.InverterCharger:
		for _, key := range []string{"continuous_va", "dc_v", "charge_a"} {
			if f, has := q.Kind.Field(key); has && f != nil && !q.Figure(key).Known() {
				return key
			}
		}
		return "efficiency"
	case &components.DCLoad:
		return "a"
	case &components.Charger:
		return "charge_a"
	case &components.Alternator:
		return "rating_a"
	}
	return "output_a"
}

// askDemand asks for the figures of parts whose current would flow through a
// terminal's net. It tells whether any is missing.
func askDemand(p *rules.Pass, t circuit.Term, what string) bool {
	missing := p.Demand().Missing
	if len(missing) == 0 {
		return false
	}
	asked := false
	same := sameMetal(p, t)
	for _, q := range p.Doc.Parts() {
		if _, ok := missing[q.ID]; !ok {
			continue
		}
		for _, port := range []string{"dc", "in", "out", "battery"} {
			if o, ok := p.Circuit.At(q.ID, port, p.Circuit.Terms[t].Pole); ok && same(o) {
				asked = true
				key := demandKey(q)
				p.Unchecked(string(q.ID), fmt.Sprintf("%s of %s is not known, so what %s has to carry is not: read its label", key, q.ID, what), string(p.Circuit.Terms[t].Part))
				break
			}
		}
	}
	return asked
}

// leastText is the rating that a device of unknown rating needs for the current of some
// links. Where that current is not all known, it does not pass for enough.
func leastText[L int | int32](p *rules.Pass, amps float64, links ...L) string {
	text := numText(math.Ceil(amps)) + " A at least"
	if openDemand(p, links...) {
		text += ", and more: a part whose figures are not told draws through it"
	}
	return text
}

// openDemand tells whether a current of which a figure is missing would flow in a link.
func openDemand[L int | int32](p *rules.Pass, links ...L) bool {
	open := p.Demand().Open
	return open != nil && slices.ContainsFunc(links, func(i L) bool { return open[i] })
}

// sameMetal tells which terminals stand on the same metal as one. A converter's common
// negative is not counted: what it joins are circuits of their own.
func sameMetal(p *rules.Pass, t circuit.Term) func(circuit.Term) bool {
	nets := p.Circuit.Nets(func(l *circuit.Link) bool {
		q, _ := p.Doc.Part(l.Part)
		return l.Closed && !l.Bond && (l.Run != "" || q.Kind.Role != components.Converts)
	})
	return func(o circuit.Term) bool { return nets[o] == nets[t] }
}

// by50 is the next rating in steps of 50 A, as bars, shunts and switches go.
func by50(amps float64) float64 { return math.Max(50, math.Ceil(amps/50-1e-9)*50) }
