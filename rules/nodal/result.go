package nodal

import (
	"fmt"
	"math"
	"math/cmplx"
	"slices"
)

// Result is a solved network.
type Result struct {
	f          *Factored
	v          []complex128 // by node
	i          []complex128 // by branch
	x          []complex128 // the unknowns
	s          *solving     // how a sketch was found
	Rounds     int          // of the power loads; 0 where there are none
	KCLWorst   float64      // largest node residual, relative to the largest current
	Largest    float64      // A: the largest current, at least 0.01
	Imbalance  float64      // apparent power that does not sum to zero, relative to half of all
	PowerWorst float64      // largest difference of a load's power from what it asked, relative
	Collapsing []Branch     // power loads below 70 % of their rated voltage that still draw
	Idle       []Branch     // loads and current sources that carry nothing: no way back, or a dead island
}

// Inexact says that a solution does not hold to Kirchhoff's law or to its loads'
// power by more than a millionth.
type Inexact struct{ KCL, Power float64 }

func (e *Inexact) Error() string {
	return fmt.Sprintf("the solution is not exact: currents miss by %.2g of the largest, loads by %.2g of their power", e.KCL, e.Power)
}

const (
	noise  = 0.01 // A and VA: smaller networks are held against this
	permit = 1e-6
)

// V is a node's voltage against its island's reference, 0 in a dead island.
func (r *Result) V(n Node) complex128 { return r.v[n] }

// I is a branch's current from its first node to its second, through the branch.
// For a source it is the current that enters it at plus, so a source that gives
// has a negative one.
func (r *Result) I(b Branch) complex128 { return r.i[b] }

// Across is the voltage across a branch, its first node against its second.
func (r *Result) Across(b Branch) complex128 {
	e := &r.f.net.elements[b]
	return r.v[e.a] - r.v[e.b]
}

// S is the apparent power that a branch takes, in volt-amperes.
func (r *Result) S(b Branch) complex128 { return r.Across(b) * cmplx.Conj(r.i[b]) }

// Dead tells whether no source feeds a node.
func (r *Result) Dead(n Node) bool { return r.f.Dead(n) }

// Reference is the node whose voltage is the zero of n's island.
func (r *Result) Reference(n Node) Node { return r.f.Reference(n) }

// Ground tells whether ideal shorts or sources join a node to its island's
// reference, or it is the reference.
func (r *Result) Ground(n Node) bool {
	t := r.f.top
	return t.group[n] == t.group[t.ref[t.island(n)]] && r.v[n] == 0
}

// Islands are all islands, isolated nodes among them, by their first nodes.
func (r *Result) Islands() []Island { return r.f.Islands() }

// result takes the unknowns to nodes and branches and audits. extra are currents
// taken out of nodes beside all branches, by node, nil for none.
func (s *solving) result(extra map[Node]complex128) (*Result, error) {
	r := s.outline()
	if err := s.settle(r, extra); err != nil {
		return nil, err
	}
	return r, nil
}

func (s *solving) outline() *Result {
	r := &Result{f: s.Factored, v: make([]complex128, s.net.nodes), i: make([]complex128, len(s.net.elements)), x: s.x, Rounds: s.rounds}
	for _, l := range s.loads {
		r.i[l.branch] = l.i
	}
	return r
}

// Audit holds a sketch to what Solve holds its answers to.
func (r *Result) Audit() error {
	if r.s == nil {
		return nil
	}
	s := r.s
	r.s = nil
	return s.settle(r, nil)
}

// settle finds voltages and currents, takes out what rounding has left, and audits.
func (s *solving) settle(r *Result, extra map[Node]complex128) error {
	out := make([]complex128, s.net.nodes)
	largest := s.currents(r, out, extra)
	for range 3 {
		before := s.residual(out)
		if before <= 1e-10*math.Max(largest, noise) {
			break
		}
		kept := slices.Clone(s.x)
		miss := make([]complex128, len(s.x))
		for n, i := range out {
			if k := s.row[s.top.group[n]]; k >= 0 {
				miss[k] -= i
			}
		}
		s.solve(miss, s.work)
		for k := range s.x {
			s.x[k] += miss[k]
		}
		largest = s.currents(r, out, extra)
		if s.residual(out) > 0.5*before {
			copy(s.x, kept)
			s.currents(r, out, extra)
			break
		}
	}
	s.top.ideal.currents(s.net, out, r.i)
	r.audit(extra)
	for k := range s.net.elements {
		e := &s.net.elements[k]
		if (e.form == power || e.form == injection) && !e.opened && e.x != 0 && !s.top.live(e) {
			r.Idle = append(r.Idle, Branch(k))
		}
	}
	if extra == nil {
		r.loads(s)
	}
	if !(r.KCLWorst <= permit) || !(r.PowerWorst <= permit) {
		return &Inexact{r.KCLWorst, r.PowerWorst}
	}
	return nil
}

// currents finds the voltages, the currents of all but ideal branches and what
// leaves each node over them; it gives the largest of the currents.
func (s *solving) currents(r *Result, out []complex128, extra map[Node]complex128) float64 {
	for n := range r.v {
		r.v[n] = s.node(int32(n))
		out[n] = 0
	}
	for n, i := range extra {
		out[n] = i
	}
	largest := 0.0
	for k := range s.net.elements {
		e := &s.net.elements[k]
		switch {
		case e.passive():
			r.i[k] = (r.v[e.a] - r.v[e.b] - e.emf()) / e.z
		case e.form == injection && s.top.live(e):
			r.i[k] = e.x
		case e.form == power && r.i[k] != 0:
		default:
			continue
		}
		largest = math.Max(largest, size(r.i[k]))
		out[e.a] += r.i[k]
		out[e.b] -= r.i[k]
	}
	return largest
}

// residual is the largest sum of currents at an unknown.
func (s *solving) residual(out []complex128) float64 {
	clear(s.work)
	for n, i := range out {
		if k := s.row[s.top.group[n]]; k >= 0 {
			s.work[k] += i
		}
	}
	worst := 0.0
	for _, i := range s.work {
		worst = math.Max(worst, size(i))
	}
	return worst
}

// audit checks Kirchhoff's current law at every node and the power balance, from
// nothing but voltages, currents and figures.
func (r *Result) audit(extra map[Node]complex128) {
	sum := make([]complex128, len(r.v))
	largest, gross := 0.0, 0.0
	var s complex128
	for n, i := range extra {
		sum[n] = i
		s += r.v[n] * cmplx.Conj(i)
		gross += abs(r.v[n] * cmplx.Conj(i))
	}
	for b := range r.f.net.elements {
		e := &r.f.net.elements[b]
		i := r.i[b]
		if i == 0 {
			continue
		}
		sum[e.a] += i
		sum[e.b] -= i
		largest = math.Max(largest, abs(i))
		x := r.S(Branch(b))
		s += x
		gross += abs(x)
	}
	largest = math.Max(largest, noise)
	r.Largest = largest
	for _, i := range sum {
		r.KCLWorst = math.Max(r.KCLWorst, abs(i)/largest)
		if cmplx.IsNaN(i) {
			r.KCLWorst = math.NaN()
			break
		}
	}
	r.Imbalance = abs(s) / math.Max(gross/2, noise)
}

// loads holds each load to the power it asked for.
func (r *Result) loads(s *solving) {
	for _, l := range s.loads {
		e := &s.net.elements[l.branch]
		v := r.Across(l.branch)
		off := abs(r.S(l.branch)-e.asked(v)) / math.Max(abs(e.x), noise)
		r.PowerWorst = math.Max(r.PowerWorst, off)
		if e.low(v) {
			if abs(l.i)*e.rated > 1e-9*abs(e.x) {
				r.Collapsing = append(r.Collapsing, l.branch)
			} else {
				r.Idle = append(r.Idle, l.branch)
			}
		}
	}
}
