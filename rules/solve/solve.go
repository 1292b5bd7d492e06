package solve

import (
	"errors"
	"fmt"
	"math"
	"math/cmplx"
	"sync"
	"sync/atomic"

	"rigline/components"
	"rigline/rules/circuit"
	"rigline/rules/nodal"
)

// Solve solves a settled circuit: the AC network with its chargers, then the DC
// network with its inverters, again and again until neither moves the other.
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
	key := s.alike()
	kept, _ := c.Memo().LoadOrStore(key, &alike{})
	like := kept.(*alike)
	like.once.Do(func() {
		if b, ok := c.Before(key); ok {
			s.before = b.(*alike).first.Load()
		}
		if s.stands() {
			s.take(s.before)
			s.coupled, s.before = s.before.coupled, nil
			like.first.Store(s)
			return
		}
		s.finish(s.networks())
		if s.Failure != nil && s.before != nil { // that was no good place to begin from
			s = begin(c, o)
			s.finish(s.networks())
		}
		s.before = nil
		like.first.Store(s)
	})
	if first := like.first.Load(); first != s {
		s.take(first)
	}
	return s
}

// alike are states of one layout in which everything is the same but its name: two
// adapters at one site. They are solved once.
type alike struct {
	once  sync.Once
	first atomic.Pointer[Solution]
}

// alikeKey is everything of a state that its solution follows from.
type alikeKey struct {
	options Options
	figures string
}

func (s *Solution) alike() alikeKey {
	return alikeKey{s.options, circuit.Lasting(s.Circuit, alikeKey{}, s.figuresOfState)}
}

func (s *Solution) figuresOfState() string {
	c := s.Circuit
	key := append(make([]byte, 0, len(c.Links)+64*len(c.Sources)), s.contacts(both)...)
	for _, src := range c.Sources {
		key = fmt.Appendf(key, "|%s %d %d %g %g %t", src.Part, src.Hot, src.Return, src.Volts, src.Degrees, src.Stores)
	}
	for _, p := range c.Doc.Parts() {
		if at, moves := c.Positions[p.ID]; moves {
			key = fmt.Appendf(key, "|%s %s", p.ID, at)
		}
	}
	st := c.State // which site and generator are alive is in the sources
	key = fmt.Appendf(key, "|%g %g %t %q %q", st.SoC, st.Sun, st.Engine, st.On, st.Off)
	return string(key)
}

// stands tells whether the solution of the document before is this one's too: the
// circuit has settled alike, and nothing that a solution rests on has changed.
func (s *Solution) stands() bool {
	changed, ok := s.Circuit.Changed()
	return ok && s.before != nil && !changed.Meets(Fields) && s.Circuit.SettledAs(s.before.Circuit)
}

// take takes another state's answer for this one's.
func (s *Solution) take(o *Solution) {
	s.Assumed, s.Failure, s.Rounds, s.Worst, s.WorstA, s.Balance = o.Assumed, o.Failure, o.Rounds, o.Worst, o.WorstA, o.Balance
	s.Flows, s.Limited, s.ac, s.dc = o.Flows, o.Limited, o.ac, o.dc
}

func begin(c *circuit.Circuit, o Options) *Solution {
	return &Solution{Circuit: c, options: o, laid: c.Links, Assumed: map[components.ID]string{}, Flows: map[components.ID]Flow{}, Limited: map[components.ID]string{}}
}

// networks lays both sides out.
func (s *Solution) networks() *coupled {
	temp := s.Circuit.Doc.ConductorTempC
	s.ac = s.lay(inAC, true, temp, s.Assumed)
	s.dc = s.lay(inDC, false, temp, s.Assumed)
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

const (
	mostRounds = 60
	wanted     = 1e-6 // the part by which neither side may still move the other
	// settled is that part where a further round is not worth its time. Rounding
	// alone moves a power by some 1e-13.
	settled = 1e-11
)

func (s *Solution) iterate(k *coupled) error {
	before := s.before
	if before == nil {
		before = &Solution{coupled: &coupled{}}
	}
	s.coupled = k
	s.resume(before)
	for _, ch := range k.charges {
		s.setCharge(ch)
	}
	var err error
	if s.ac.factored == nil {
		if err = s.ac.factor(&before.ac); err != nil {
			return fmt.Errorf("the AC network: %w", err)
		}
	}
	s.ac.moved, s.dc.moved = math.Inf(1), math.Inf(1)
	for s.ac.moved > settled || s.dc.moved > settled {
		s.Rounds++
		if s.ac.moved > settled {
			s.ac.moved = 0
			if s.ac.res, err = s.ac.factored.Sketch(s.ac.res); err != nil {
				return s.explain(&s.ac, err)
			}
		}
		for _, inv := range k.inverters {
			s.loadInverter(inv)
		}
		for _, ch := range k.charges {
			s.limitInput(ch)
		}
		for _, b := range k.boosts {
			s.assist(b, k)
		}
		if s.dc.moved > settled {
			s.dc.moved = 0
			if s.dc.factored == nil { // or a charge source has taken its other way
				if err = s.dc.factor(&before.dc); err != nil {
					return fmt.Errorf("the DC network: %w", err)
				}
			}
			if s.dc.res, err = s.dc.factored.Sketch(s.dc.res); err != nil {
				return s.explain(&s.dc, err)
			}
		}
		for _, ch := range k.charges {
			if s.follow(ch) {
				s.dc.factored, s.dc.moved = nil, math.Inf(1)
			}
		}
		if moved := math.Max(s.ac.moved, s.dc.moved); s.Rounds == mostRounds {
			if moved <= wanted {
				break
			}
			return &Failure{Numeric: true, Reason: fmt.Sprintf("the AC and DC sides do not settle: the last round still moved by %.2g", moved)}
		}
	}
	for _, n := range []*side{&s.ac, &s.dc} {
		if err = n.res.Audit(); err != nil {
			return err
		}
		s.Worst, s.WorstA = math.Max(s.Worst, n.res.KCLWorst), math.Max(s.WorstA, n.res.KCLWorst*n.res.Largest)
	}
	s.Balance = math.Max(s.ac.res.Imbalance, s.dc.res.Imbalance)
	if s.Worst > 1e-6 {
		return &Failure{Numeric: true, Reason: fmt.Sprintf("Kirchhoff's law fails by %.2g of the largest current", s.Worst)}
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

// resume begins where the document before came to rest.
func (s *Solution) resume(before *Solution) {
	old, k := before.coupled, s.coupled
	if before.Failure != nil || len(old.charges) != len(k.charges) || len(old.inverters) != len(k.inverters) || len(old.boosts) != len(k.boosts) {
		return
	}
	for i, ch := range k.charges {
		was := old.charges[i]
		if was.part.ID != ch.part.ID || was.feeds != ch.feeds || was.ac != ch.ac {
			return
		}
	}
	for i, ch := range k.charges {
		was := old.charges[i]
		ch.holding, ch.lifts, ch.free = was.holding, was.lifts, was.free
		if ch.ac {
			ch.share = was.share
		}
		if ch.feeds >= 0 {
			from, to := &before.dc, &s.dc
			if ch.ac {
				from, to = &before.ac, &s.ac
			}
			to.draw(ch.feeds, real(from.net.PowerOf(was.feeds)))
		}
	}
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
// output over efficiency.
func (s *Solution) loadInverter(inv inverter) {
	out := 0.0
	for _, d := range s.ac.drawn {
		if d.part == inv.part.ID {
			out -= real(s.ac.res.S(d.branch))
		}
	}
	s.dc.draw(inv.branch, inv.part.Figure("idle_w").Value+math.Max(0, out)/inv.part.Figure("efficiency").Value)
}

// setCharge tells the network whether a charge source gives its current or holds
// its voltage.
func (s *Solution) setCharge(ch *charge) {
	net := s.dc.net
	if ch.holding {
		net.Open(ch.gives)
		net.Close(ch.holds)
		return
	}
	net.Open(ch.holds)
	net.Close(ch.gives)
	net.SetCurrent(ch.gives, complex(-ch.amps*ch.share, 0)) // through it from plus to minus
}

// follow moves a charge source between its two ways and takes its power to its
// input. It tells whether it has taken its other way.
func (s *Solution) follow(ch *charge) (switched bool) {
	e := s.dc.res
	v := real(e.Across(ch.holds))
	ch.lifts.through(ch.share, v)
	amps := ch.amps * ch.share
	if ch.holding {
		amps = -real(e.I(ch.holds))
	}
	if !ch.holding && v > ch.volts*(1+1e-9) || ch.holding && amps > ch.amps*ch.share*(1+1e-9) {
		ch.holding, switched = !ch.holding, true
		s.setCharge(ch)
	}
	if ch.feeds < 0 {
		return switched
	}
	from := &s.dc
	if ch.ac {
		from = &s.ac
	}
	from.draw(ch.feeds, math.Max(0, v*amps)/ch.eff)
	return switched
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
// charging less. The charger draws in phase with its voltage, so what it may draw,
// x, follows from |through + x| = limit, and its share from that power and from
// how far its current lifts the bank's voltage.
func (s *Solution) limitInput(ch *charge) {
	limit := ch.part.Figure("input_limit_a")
	if ch.part.Kind != &components.InverterCharger || !limit.Known() || ch.feeds < 0 {
		return
	}
	if ch.amps <= 0 { // it has no charger to charge less with
		ch.share = 0
		return
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
		return
	}
	t := through * cmplx.Conj(v) / complex(volts, 0) // against the voltage
	free := limit.Value*limit.Value - imag(t)*imag(t)
	share := 0.0
	if free > 0 {
		left := (math.Sqrt(free) - real(t)) * volts
		drawn := real(s.ac.net.PowerOf(ch.feeds))
		if slope := ch.free.through(drawn, left); math.Abs(slope) < 0.5 {
			left = drawn + (left-drawn)/(1-slope) // where it leaves what is drawn
		}
		share = math.Min(1, ch.shareFor(left*ch.eff))
	}
	s.dc.moved = math.Max(s.dc.moved, math.Abs(share-ch.share))
	ch.share = share
	if share < 1 {
		s.Limited[ch.part.ID] = "input limit"
	} else {
		delete(s.Limited, ch.part.ID)
	}
	s.setCharge(ch)
}
