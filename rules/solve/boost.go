package solve

import (
	"math"
	"math/cmplx"

	"rigline/components"
	"rigline/rules/circuit"
	"rigline/rules/nodal"
)

// boost is an inverter/charger that holds its AC input at its limit and supplies
// the rest from the bank, leg by leg.
type boost struct {
	part components.Part
	legs []boostLeg
	dc   nodal.Branch
}

type boostLeg struct {
	link     int          // the relay contact of the leg
	hot, n   nodal.Node   // at the output
	branch   nodal.Branch // what the inverter adds: a load of negative power
	addWatts float64
	input    line // what the input carries, in amperes, against what is added
}

// towards is what to add so that the input carries its limit. Before there are two
// answers, a watt added is taken for a watt less at the input.
func (leg *boostLeg) towards(limit, amps, volts float64) float64 {
	slope := leg.input.through(leg.addWatts, amps)
	if slope > -0.25/volts || slope < -4/volts {
		slope = -1 / volts
	}
	return math.Max(0, leg.addWatts-(amps-limit)/slope)
}

// boosters puts in what boosting inverters add, nothing to begin with.
func (s *Solution) boosters() []*boost {
	var all []*boost
	c := s.Circuit
	for _, p := range c.Doc.Parts() {
		if p.Gone() || p.Kind != &components.InverterCharger || c.Positions[p.ID] != circuit.Passing || !p.Is("boost") || !p.Figure("input_limit_a").Known() {
			continue
		}
		pos, okP := s.dc.at(c, p.ID, "dc", components.Pos)
		neg, okN := s.dc.at(c, p.ID, "dc", components.Neg)
		n, okA := s.ac.at(c, p.ID, "ac-out", components.N)
		if !okP || !okN || !okA {
			continue
		}
		b := &boost{part: p, dc: s.dc.net.Power(pos, neg, 0, s.nominalAt(p.ID, "dc"))}
		s.dc.put(b.dc, p.ID)
		for i, l := range c.Links {
			if l.Part != p.ID || l.Join.When != components.Passing || !l.Join.APole.Hot() || l.Join.BPort != "ac-out" || !c.Live(l.A) {
				continue
			}
			hot, _ := s.ac.node(l.B)
			leg := boostLeg{link: i, hot: hot, n: n, branch: s.ac.net.Power(hot, n, 0, c.Doc.MainsVolts())}
			s.ac.put(leg.branch, p.ID)
			b.legs = append(b.legs, leg)
		}
		all = append(all, b)
	}
	return all
}

// assist adds or takes back power on each leg until its input is at the limit,
// once the charger has stood back.
func (s *Solution) assist(b *boost, k *coupled) {
	limit := b.part.Figure("input_limit_a").Value
	charging := false
	for _, ch := range k.charges {
		if ch.part.ID == b.part.ID && ch.share > 0 {
			charging = true
		}
	}
	total := 0.0
	for i := range b.legs {
		leg := &b.legs[i]
		contact, _ := s.ac.branch(leg.link)
		amps := cmplx.Abs(s.ac.res.I(contact))
		v := cmplx.Abs(s.ac.res.V(leg.hot) - s.ac.res.V(leg.n))
		if v > 0 && (!charging || leg.addWatts > 0) {
			leg.addWatts = leg.towards(limit, amps, v)
		}
		if leg.addWatts > 0 {
			s.Limited[b.part.ID] = "input limit, the bank supplies the rest"
		}
		s.ac.draw(leg.branch, -leg.addWatts)
		total += leg.addWatts
	}
	if total > 0 {
		total = b.part.Figure("idle_w").Value + total/b.part.Figure("efficiency").Value
	}
	s.dc.draw(b.dc, total)
}
