package nodal

import "math"

// Rounds of the power loads. The fixed point converges like the ratio of the
// supply's impedance to the load's, three digits a round where a rig is sound;
// near collapse it crawls, and Newton's method takes over.
const (
	loadTolerance = 1e-9 // of each load's voltage, between two rounds
	mostFixed     = 60
	rounding      = 1e-14
	crawl         = 0.7 // a round that leaves more than this part of the change is slow
)

// solving is one solution under way.
type solving struct {
	*Factored
	off   []complex128 // by node, against its group's root; nil for all zero
	fixed []complex128 // by unknown: currents driven by sources
	x     []complex128 // by unknown: voltages
	work  []complex128
	loads []load
	// rounds taken, of either method
	rounds int
}

// load is a power load that can draw.
type load struct {
	branch Branch
	a, b   int32      // unknowns
	anchor complex128 // its admittance in the matrix
	i      complex128
}

// Solve finds the voltages and currents at the network's present EMFs, currents
// and powers. Its errors are Conflict, NoSolution and Inexact, and, from a
// Factored that With gave, what With could not do.
func (f *Factored) Solve() (*Result, error) {
	s, err := f.voltages(nil)
	if err != nil {
		return nil, err
	}
	return s.result(nil)
}

// Sketch does the same without the audit, for a step on the way to an answer:
// Audit makes it one. The power loads begin at the voltages of a result of the same
// factors, which is sooner if little has changed; nil begins at rest.
func (f *Factored) Sketch(last *Result) (*Result, error) {
	s, err := f.voltages(last)
	if err != nil {
		return nil, err
	}
	r := s.outline()
	out := make([]complex128, s.net.nodes)
	s.currents(r, out, nil)
	s.top.ideal.currents(s.net, out, r.i)
	r.s = s
	return r, nil
}

// voltages finds the unknowns.
func (f *Factored) voltages(last *Result) (*solving, error) {
	if f.err != nil {
		return nil, f.err
	}
	for b := range f.net.elements { // they may have been set since
		if e := &f.net.elements[b]; !e.opened && !finite(e.x) {
			return nil, fitFigures(Branch(b), e)
		}
	}
	if f.top.stale(f.net) {
		again, err := f.net.factor(f.net.topology())
		if err != nil {
			return nil, err
		}
		f = again
	}
	s, err := f.begin()
	if err != nil {
		return nil, err
	}
	s.gather()
	if last != nil && last.f.base == f.base && len(s.loads) > 0 {
		copy(s.x, last.x)
	} else {
		s.linear()
	}
	if len(s.loads) > 0 && !s.fixedPoint() {
		if err := s.newton(); err != nil {
			return nil, err
		}
	}
	return s, nil
}

// begin drives the sources' currents.
func (f *Factored) begin() (*solving, error) {
	off, err := f.top.ideal.offsets(f.net)
	if err != nil {
		return nil, err
	}
	n := len(f.base.ohms)
	s := &solving{Factored: f, off: off, fixed: make([]complex128, n), x: make([]complex128, n), work: make([]complex128, n)}
	for k := range f.net.elements {
		e := &f.net.elements[k]
		switch {
		case e.passive():
			if v := s.across0(e); v != 0 {
				s.drive(s.fixed, e, -v/e.z)
			}
		case e.form == injection && f.top.live(e):
			s.drive(s.fixed, e, -e.x)
		}
	}
	// An anchor's admittance sees the ideal sources beside it as branches do.
	for _, a := range f.top.anchor {
		e := &f.net.elements[a.branch]
		s.drive(s.fixed, e, -s.across0(e)*a.y)
	}
	return s, nil
}

// across0 is the voltage that drives an element when all unknowns are 0.
func (s *solving) across0(e *element) complex128 {
	v := -e.emf()
	if s.off != nil {
		v += s.off[e.a] - s.off[e.b]
	}
	return v
}

// drive puts a current into an element's first node and takes it out of the
// second.
func (s *solving) drive(x []complex128, e *element, i complex128) {
	a, b := s.ends(e)
	if a >= 0 {
		x[a] += i
	}
	if b >= 0 {
		x[b] -= i
	}
}

// node is a node's voltage.
func (s *solving) node(n int32) complex128 {
	v := complex128(0)
	if k := s.row[s.top.group[n]]; k >= 0 {
		v = s.x[k]
	}
	if s.off != nil {
		v += s.off[n]
	}
	return v
}

func (s *solving) across(e *element) complex128 { return s.node(e.a) - s.node(e.b) }

// gather lists the loads that can draw.
func (s *solving) gather() {
	for k := range s.net.elements {
		e := &s.net.elements[k]
		if e.form == power && e.x != 0 && s.top.live(e) {
			a, b := s.ends(e)
			s.loads = append(s.loads, load{branch: Branch(k), a: a, b: b})
		}
	}
	k := 0
	for _, a := range s.top.anchor { // both in the order of branches
		for k < len(s.loads) && s.loads[k].branch < a.branch {
			k++
		}
		if k < len(s.loads) && s.loads[k].branch == a.branch {
			s.loads[k].anchor = a.y
		}
	}
}

// linear solves with the power loads at rest.
func (s *solving) linear() {
	copy(s.x, s.fixed)
	s.solve(s.x, s.work)
}

// fixedPoint draws in each round the currents that the loads ask at the last
// round's voltages. It is false where that does not come to rest soon.
func (s *solving) fixedPoint() bool {
	next := make([]complex128, len(s.x))
	last, slow := math.Inf(1), 0
	for s.rounds = 1; s.rounds <= mostFixed; s.rounds++ {
		copy(next, s.fixed)
		for k := range s.loads {
			l := &s.loads[k]
			e := &s.net.elements[l.branch]
			v := s.across(e)
			l.i = e.draw(v)
			s.drive(next, e, l.anchor*v-l.i)
		}
		s.solve(next, s.work)
		change := s.moved(next)
		for k := range s.loads { // an anchor has taken up the round's change
			l := &s.loads[k]
			if l.anchor != 0 {
				l.i += l.anchor * (voltage(next, l.a, l.b) - voltage(s.x, l.a, l.b))
			}
		}
		if math.IsNaN(change) || change > 4*last {
			return false // from the better of the two
		}
		s.x, next = next, s.x
		if change <= loadTolerance {
			return true
		}
		if change > crawl*last {
			slow++
		} else {
			slow = 0
		}
		if slow >= 5 {
			return false
		}
		last = change
	}
	return false
}

// moved is the largest change of a load's voltage from s.x to next, as a part of
// that voltage. Islands apart from each other may be at any voltages, so none is
// held against another's; what rounding moves is no change.
func (s *solving) moved(next []complex128) float64 {
	most := 0.0
	for k := range s.loads {
		l := &s.loads[k]
		e := &s.net.elements[l.branch]
		change := size(voltage(next, l.a, l.b) - voltage(s.x, l.a, l.b))
		common := 0.0
		for _, n := range [2]int32{l.a, l.b} {
			if n >= 0 {
				common = math.Max(common, size(next[n]))
			}
		}
		if change <= rounding*common {
			continue
		}
		q := change / math.Max(size(s.across(e)), math.Max(0.01*e.rated, 1e-9))
		if math.IsNaN(q) {
			return q
		}
		most = math.Max(most, q)
	}
	return most
}

// voltage is the one between two unknowns.
func voltage(x []complex128, a, b int32) complex128 {
	v := complex128(0)
	if a >= 0 {
		v = x[a]
	}
	if b >= 0 {
		v -= x[b]
	}
	return v
}
