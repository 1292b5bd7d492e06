package solve

import (
	"math"

	"rigline/components"
	"rigline/rules/circuit"
	"rigline/rules/nodal"
)

// feeder is what gives a lowest fault current: the AC network, or a battery alone.
type feeder interface {
	between(a, b circuit.Term) (Prospective, bool)
}

// alone is a string of batteries that alone feeds the DC network. Its current has one
// way through each conductor network that the batteries join, so the bare conductors,
// which are the same for every battery and every charge, answer for all of them:
//
//	V = sum of the EMFs on the way, Z = sum of their resistances and of the conductors'
type alone struct {
	bare  *faultSide
	cells []cell
}

// bare is the DC network with hot conductors and nothing that feeds it. A current of
// nothing at the terminals of the batteries keeps in what one of them could feed.
func (s *Solution) bare(closed string) *faultSide {
	return s.kept(faultKey{closed: closed, as: lowest, bare: true}, func(f *faultSide) {
		f.side = s.lay(inDC, false, s.Circuit.Doc.ConductorTempC, nil)
		for _, p := range s.batteries() {
			if b, ok := s.faultBank(p, false); ok {
				if c, ok := f.cell(s.Circuit, p.ID, b); ok {
					f.net.Current(c.pos, c.pos, 0)
					f.net.Current(c.neg, c.neg, 0)
				}
			}
		}
	})
}

// onItsOwn is a string alone over the bare conductors. ok is false where its current
// has more than one way, as through a conductor from its plus to its minus.
func (s *Solution) onItsOwn(bare *faultSide, banks []components.Part) (a *alone, ok bool) {
	if bare.factored == nil {
		return nil, false
	}
	a = &alone{bare: bare}
	for _, p := range banks {
		b, told := s.faultBank(p, false)
		if c, ok := bare.cell(s.Circuit, p.ID, b); told && ok {
			a.cells = append(a.cells, c)
		}
	}
	for i, c := range a.cells {
		before := alone{bare, a.cells[:i]}
		if _, joined := before.way(c.pos, c.neg, -1); joined {
			return nil, false
		}
	}
	return a, true
}

// way goes from one node to another through conductors and batteries, with the voltage
// and the impedance on it; ok is false where none leads there. It does not go back
// through the battery that it came by, -1 for none, and meets no other twice.
func (a *alone) way(x, y nodal.Node, came int) (w Prospective, ok bool) {
	if z, ok := a.bare.thevenin(x, y); ok {
		return Prospective{Ohms: real(z)}, true
	}
	for i, c := range a.cells {
		if i == came {
			continue
		}
		for _, out := range []cell{c, {c.neg, c.pos, -c.emf, c.ohms}} {
			here, ok := a.bare.thevenin(x, out.pos)
			if !ok {
				continue
			}
			if w, ok = a.way(out.neg, y, i); ok {
				return Prospective{Volts: w.Volts + out.emf, Ohms: real(here) + out.ohms + w.Ohms}, true
			}
		}
	}
	return Prospective{}, false
}

func (a *alone) between(p, q circuit.Term) (Prospective, bool) {
	x, okA := a.bare.node(p)
	y, okB := a.bare.node(q)
	if !okA || !okB {
		return Prospective{}, false
	}
	w, ok := a.way(x, y, -1)
	if w.Volts = math.Abs(w.Volts); !ok || w.Ohms == 0 || w.Volts < 1e-3 {
		return Prospective{}, false
	}
	w.Amps = w.Volts / w.Ohms
	return w, true
}
