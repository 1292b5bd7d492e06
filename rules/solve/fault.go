package solve

import (
	"math"
	"math/cmplx"
	"sync"

	"rigline/components"
	"rigline/rules/circuit"
	"rigline/rules/nodal"
)

// faultCache keeps the networks of the highest fault currents: no loads,
// conductors at 20 °C, banks full and at their cell-level resistance.
type faultCache struct {
	once   sync.Once
	ac, dc faultSide
}

type faultSide struct {
	side
	factored *nodal.Factored
	open     *nodal.Result
}

// Contributors that are current sources by nature (chargers, inverters while
// they pass) are left out of the DC side: their few tens of amperes stay far
// below the bank's thousands.
func (s *Solution) prepareFaults() {
	s.faults.ac = faultSide{side: s.lay(inAC, true, 20)}
	s.faults.dc = faultSide{side: s.lay(inDC, false, 20)}
	s.acSources(&s.faults.ac.side, false)
	c := s.Circuit
	n := &s.faults.dc.side
	for _, p := range c.Doc.Parts() {
		if p.Gone() || p.Kind != &components.Battery {
			continue
		}
		b, missing := bankOf(p, 1, true)
		if missing != "" {
			s.Assumed[p.ID] = missing
			continue
		}
		pos, okP := n.at(c, p.ID, "pos", components.Pos)
		neg, okN := n.at(c, p.ID, "neg", components.Neg)
		if okP && okN {
			n.of[n.net.Source(pos, neg, complex(b.emf, 0), complex(math.Max(b.ohms, stiff), 0))] = p.ID
		}
	}
	for _, f := range []*faultSide{&s.faults.ac, &s.faults.dc} {
		var err error
		if f.factored, err = f.net.Factor(); err != nil {
			continue
		}
		f.open, _ = f.factored.Solve()
	}
}

// Prospective is the highest bolted fault current between two terminals, in
// amperes, with the voltage before the fault and the impedance of the loop. ok is
// false where nothing feeds them or a figure is missing.
type Prospective struct {
	Amps, Volts float64
	Ohms        float64
}

// HighestFault finds the prospective current between two terminals. A fault on
// an inverter's own output is limited by its electronics and is not found here.
func (s *Solution) HighestFault(a, b circuit.Term) (Prospective, bool) {
	s.faults.once.Do(s.prepareFaults)
	for _, f := range []*faultSide{&s.faults.ac, &s.faults.dc} {
		x, okA := f.node[a]
		y, okB := f.node[b]
		if !okA || !okB || f.open == nil || f.open.Dead(x) || f.open.Dead(y) {
			continue
		}
		z, ok := f.factored.Thevenin(x, y)
		v := cmplx.Abs(f.open.V(x) - f.open.V(y))
		if !ok || cmplx.Abs(z) == 0 || v < 1e-3 {
			continue
		}
		return Prospective{Amps: v / cmplx.Abs(z), Volts: v, Ohms: cmplx.Abs(z)}, true
	}
	return Prospective{}, false
}

// FaultThrough is the current that a link carries, in amperes, when a and b are
// bolted together: what a device there must break. A device in one of several
// parallel strings sees its own string, or all the others.
func (s *Solution) FaultThrough(link int, a, b circuit.Term) (Prospective, bool) {
	s.faults.once.Do(s.prepareFaults)
	for _, f := range []*faultSide{&s.faults.ac, &s.faults.dc} {
		x, okA := f.node[a]
		y, okB := f.node[b]
		br, okL := f.branch[link]
		if !okA || !okB || !okL || f.open == nil || f.open.Dead(x) || f.open.Dead(y) {
			continue
		}
		net := f.net.Clone()
		const bolted = 1e-6
		net.Branch(x, y, bolted)
		factored, err := net.Factor()
		if err != nil {
			continue
		}
		res, err := factored.Solve()
		if err != nil {
			continue
		}
		amps := cmplx.Abs(res.I(br))
		volts := cmplx.Abs(f.open.V(x) - f.open.V(y))
		if amps == 0 || volts == 0 {
			return Prospective{Volts: volts}, volts > 0
		}
		return Prospective{Amps: amps, Volts: volts, Ohms: volts / amps}, true
	}
	return Prospective{}, false
}
