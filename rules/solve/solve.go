package solve

import (
	"errors"
	"fmt"
	"math"
	"math/cmplx"

	"rigline/components"
	"rigline/rules/circuit"
	"rigline/rules/nodal"
)

// Solve solves a settled circuit: the AC network with its chargers, then the DC
// network with its inverters, again and again until neither moves the other by
// more than a part in a million.
func Solve(c *circuit.Circuit) *Solution { return SolveWith(c, Options{}) }

// Options change how a circuit is solved.
type Options struct {
	// LoadsAsImpedance takes every AC load as the impedance that it has at its
	// rated voltage: what a broken neutral does to it in the first moment.
	LoadsAsImpedance bool
}

// SolveWith solves a settled circuit in another way than the usual.
func SolveWith(c *circuit.Circuit, o Options) *Solution {
	s := begin(c, o)
	s.finish(s.networks())
	return s
}

func begin(c *circuit.Circuit, o Options) *Solution {
	return &Solution{Circuit: c, options: o, laid: c.Links, Assumed: map[components.ID]string{}, Flows: map[components.ID]Flow{}, Limited: map[components.ID]string{}}
}

// networks lays both sides out.
func (s *Solution) networks() *coupled {
	temp := s.Circuit.Doc.ConductorTempC
	s.ac = s.lay(inAC, true, temp)
	s.dc = s.lay(inDC, false, temp)
	s.acSources(&s.ac, working)
	s.acLoads(&s.ac)
	k := s.dcNetwork(&s.dc, &s.ac)
	k.boosts = s.boosters()
	return k
}

func (s *Solution) finish(k *coupled) {
	if err := s.iterate(k); err != nil {
		s.fail(err)
		return
	}
	s.collectFlows()
}

// fail says in a person's words why a state has no solution.
func (s *Solution) fail(err error) {
	s.Failure = &Failure{Reason: err.Error()}
	var f *Failure
	if errors.As(err, &f) {
		s.Failure = f
	}
	s.ac.res, s.dc.res = nil, nil
}

func (f *Failure) Error() string { return f.Reason }

const mostRounds = 60

func (s *Solution) iterate(k *coupled) error {
	for _, ch := range k.charges {
		s.setCharge(ch)
	}
	var err error
	if s.factored == nil {
		if s.factored, err = s.ac.net.Factor(); err != nil {
			return fmt.Errorf("the AC network: %w", err)
		}
	}
	last := math.Inf(1)
	for s.Rounds = 1; s.Rounds <= mostRounds; s.Rounds++ {
		if s.ac.res, err = s.factored.Solve(); err != nil {
			return s.explain(&s.ac, err)
		}
		moved := 0.0
		for _, inv := range k.inverters {
			moved = math.Max(moved, s.loadInverter(inv))
		}
		for _, b := range k.boosts {
			moved = math.Max(moved, s.assist(b, k))
		}
		dcF, err := s.dc.net.Factor() // holding or not changes a resistance
		if err != nil {
			return fmt.Errorf("the DC network: %w", err)
		}
		if s.dc.res, err = dcF.Solve(); err != nil {
			return s.explain(&s.dc, err)
		}
		for _, ch := range k.charges {
			moved = math.Max(moved, s.follow(ch))
		}
		if moved <= 1e-7 {
			break
		}
		if s.Rounds == mostRounds {
			return &Failure{Reason: fmt.Sprintf("the AC and DC sides do not settle: the last round still moved by %.2g", math.Min(moved, last))}
		}
		last = moved
	}
	s.Worst = math.Max(s.ac.res.KCLWorst, s.dc.res.KCLWorst)
	s.Balance = math.Max(s.ac.res.Imbalance, s.dc.res.Imbalance)
	if s.Worst > 1e-6 {
		return &Failure{Reason: fmt.Sprintf("Kirchhoff's law fails by %.2g of the largest current", s.Worst)}
	}
	for _, n := range []*side{&s.ac, &s.dc} {
		if s.options.LoadsAsImpedance {
			break // after a fault a low voltage is the answer
		}
		for _, b := range n.res.Collapsing {
			p := n.partOf(b)
			return &Failure{At: p, Reason: fmt.Sprintf("the supply of %s falls below 70 %% of its rated voltage: what feeds it cannot carry it", p)}
		}
	}
	return nil
}

// explain puts the part's name to a network that has no solution.
func (s *Solution) explain(n *side, err error) error {
	var no *nodal.NoSolution
	if errors.As(err, &no) {
		p := n.partOf(no.Worst)
		return &Failure{At: p, Reason: fmt.Sprintf("the voltage at %s collapses to %.3g V: what feeds it cannot carry it", p, no.Volts)}
	}
	return err
}

// loadInverter takes an inverter's AC output to its DC input: idle power plus
// output over efficiency. It tells by how much that moved, relatively.
func (s *Solution) loadInverter(inv inverter) float64 {
	out := 0.0
	for _, d := range s.ac.drawn {
		if d.part == inv.part.ID {
			out -= real(s.ac.res.S(d.branch))
		}
	}
	p := inv.part.Figure("idle_w").Value + math.Max(0, out)/inv.part.Figure("efficiency").Value
	old := s.dc.net.PowerOf(inv.branch)
	s.dc.net.SetPower(inv.branch, complex(p, 0))
	return relative(real(old), p)
}

func relative(old, now float64) float64 {
	if old == now {
		return 0
	}
	return math.Abs(now-old) / math.Max(math.Abs(now), 1)
}

// setCharge tells the network whether a charge source gives its current or holds
// its voltage.
func (s *Solution) setCharge(ch *charge) {
	if ch.holding {
		s.dc.net.SetSource(ch.branch, complex(ch.volts, 0), 1e-3)
		return
	}
	s.dc.net.SetSource(ch.branch, complex(ch.amps*ch.share*norton, 0), norton)
}

// follow moves a charge source between its two ways and takes its power to its
// input.
func (s *Solution) follow(ch *charge) float64 {
	n, _ := s.dc.node(ch.pos)
	e := s.dc.res
	v := real(e.V(n))
	if neg, ok := s.Circuit.At(ch.part.ID, s.Circuit.Terms[ch.pos].Port, components.Neg); ok {
		m, _ := s.dc.node(neg)
		v -= real(e.V(m))
	}
	amps := -real(e.I(ch.branch))
	switched := 0.0
	switch {
	case !ch.holding && v > ch.volts*(1+1e-9):
		ch.holding, switched = true, 1
	case ch.holding && amps > ch.amps*ch.share*(1+1e-9):
		ch.holding, switched = false, 1
	}
	if switched > 0 {
		s.setCharge(ch)
	}
	if ch.feeds < 0 {
		return switched
	}
	if ch.ac {
		switched = math.Max(switched, s.limitInput(ch, v))
	}
	p := math.Max(0, v*amps) / ch.eff
	net := s.dc.net
	if ch.ac {
		net = s.ac.net
	}
	old := real(net.PowerOf(ch.feeds))
	net.SetPower(ch.feeds, complex(p, 0))
	return math.Max(switched, relative(old, p))
}

func (s *Solution) collectFlows() {
	for _, d := range s.ac.drawn {
		f := s.Flows[d.part]
		f.AC += s.ac.res.S(d.branch)
		s.Flows[d.part] = f
	}
	for _, d := range s.dc.drawn {
		f := s.Flows[d.part]
		f.DC += real(s.dc.res.S(d.branch))
		f.DCAmps += real(s.dc.res.I(d.branch))
		s.Flows[d.part] = f
	}
}

// limitInput holds the AC input of an inverter/charger at its set limit by
// charging less. The charger draws in phase with its voltage, so its share x of
// its full current follows from |through + x·full| = limit. It tells by how much
// the share moved.
func (s *Solution) limitInput(ch *charge, dcVolts float64) float64 {
	limit := ch.part.Figure("input_limit_a")
	if ch.part.Kind != &components.InverterCharger || !limit.Known() {
		return 0
	}
	through := complex128(0)
	for i, l := range s.Circuit.Links {
		if b, ok := s.ac.branch(i); ok && l.Part == ch.part.ID && l.Join.When == components.Passing && l.Join.APole.Hot() && l.Join.APole != components.L2 {
			through += s.ac.res.I(b)
		}
	}
	v := s.ac.res.Across(ch.feeds)
	volts := cmplx.Abs(v)
	if volts == 0 {
		return 0
	}
	full := dcVolts * ch.amps / ch.eff / volts
	t := through * cmplx.Conj(v) / complex(volts, 0) // against the voltage
	free := limit.Value*limit.Value - imag(t)*imag(t)
	share := 0.0
	if free > 0 && full > 0 {
		share = math.Min(1, math.Max(0, (math.Sqrt(free)-real(t))/full))
	}
	moved := math.Abs(share - ch.share)
	ch.share = share
	if share < 1 {
		s.Limited[ch.part.ID] = "input limit"
	} else {
		delete(s.Limited, ch.part.ID)
	}
	s.setCharge(ch)
	return moved
}
