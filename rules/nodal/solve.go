package nodal

import (
	"fmt"
	"math"
	"math/cmplx"
)

// Result is a solved network.
type Result struct {
	f          *Factored
	v          []complex128 // by supernode
	i          []complex128 // by branch
	Rounds     int          // of the power loads
	KCLWorst   float64      // largest node residual, relative to the largest current
	Imbalance  float64      // power given less power taken, relative
	Collapsing []Branch     // power loads below 70 % of their rated voltage
}

// NoSolution says that a network with constant-power loads has no solution near
// its rated voltage, and at which load it gives up.
type NoSolution struct {
	Worst Branch
	Volts float64
}

func (e *NoSolution) Error() string {
	return fmt.Sprintf("no solution: the voltage collapses to %.3g V at branch %d", e.Volts, e.Worst)
}

const (
	noise      = 0.01 // A: below it, residuals are told against this current
	tolerance  = 1e-9
	mostRounds = 200
)

// V is a node's voltage against its island's reference, 0 in a dead island.
func (r *Result) V(n Node) complex128 { return r.v[r.f.group[n]] }

// I is a branch's current from its first node to its second, through the branch.
// For a source it is the current that leaves its plus node into the source, so a
// source that gives has a negative one.
func (r *Result) I(b Branch) complex128 { return r.i[b] }

// Across is the voltage across a branch.
func (r *Result) Across(b Branch) complex128 {
	e := r.f.net.elements[b]
	return r.V(e.a) - r.V(e.b)
}

// Dead tells whether no source feeds a node.
func (r *Result) Dead(n Node) bool { return r.f.Dead(n) }

// S is the apparent power that a branch takes, in volt-amperes.
func (r *Result) S(b Branch) complex128 {
	e := r.f.net.elements[b]
	return (r.V(e.a) - r.V(e.b)) * cmplx.Conj(r.i[b])
}

// Solve finds the voltages and currents. Power loads iterate: each round draws
// the current that its power asks at the last voltage.
func (f *Factored) Solve() (*Result, error) {
	r := &Result{f: f, v: make([]complex128, f.n), i: make([]complex128, len(f.net.elements))}
	base := make([]complex128, len(f.diag))
	inject := func(x []complex128, n Node, i complex128) {
		if k := f.row[f.group[n]]; k >= 0 {
			x[k] += i
		}
	}
	loads := false
	for _, e := range f.net.elements {
		if e.opened {
			continue
		}
		switch e.form {
		case source:
			inject(base, e.a, e.emf/e.z)
			inject(base, e.b, -e.emf/e.z)
		case injection:
			if f.carries(e) {
				inject(base, e.a, -e.i)
				inject(base, e.b, e.i)
			}
		case power:
			loads = loads || e.s != 0
		}
	}
	x := make([]complex128, len(base))
	damp := 1.0
	lastChange := math.Inf(1)
	for r.Rounds = 1; ; r.Rounds++ {
		copy(x, base)
		for b, e := range f.net.elements {
			if e.form != power || !f.carries(e) || e.s == 0 || f.Dead(e.a) {
				continue
			}
			want := e.current(r.V(e.a)-r.V(e.b), r.Rounds == 1)
			r.i[b] += complex(damp, 0) * (want - r.i[b])
			inject(x, e.a, -r.i[b])
			inject(x, e.b, r.i[b])
		}
		f.backsolve(x)
		change, largest := 0.0, 0.0
		for k, g := range f.order {
			change = math.Max(change, cmplx.Abs(x[k]-r.v[g]))
			largest = math.Max(largest, cmplx.Abs(x[k]))
			r.v[g] = x[k]
		}
		if !loads || change <= tolerance*math.Max(largest, 1e-12) {
			break
		}
		if change > 0.9*lastChange && r.Rounds > 3 {
			damp = math.Max(damp/2, 1.0/64)
		}
		lastChange = change
		if r.Rounds >= mostRounds || math.IsNaN(change) {
			return nil, r.collapse()
		}
	}
	for b, e := range f.net.elements {
		if e.form == power && f.carries(e) && e.s != 0 && !f.Dead(e.a) && e.rated > 0 && cmplx.Abs(r.V(e.a)-r.V(e.b)) < 0.7*e.rated {
			r.Collapsing = append(r.Collapsing, Branch(b))
		}
	}
	r.branches()
	r.audit()
	return r, nil
}

// current is what a power load draws at a voltage.
func (e *element) current(v complex128, first bool) complex128 {
	least := 0.7 * e.rated
	a := cmplx.Abs(v)
	if first && a == 0 {
		return 0
	}
	if a < least { // the impedance it has at 70 %
		return v * cmplx.Conj(e.s) / complex(least*least, 0)
	}
	if a == 0 {
		return 0
	}
	return cmplx.Conj(e.s / v)
}

func (r *Result) collapse() error {
	worst := &NoSolution{Worst: -1, Volts: math.Inf(1)}
	ratio := math.Inf(1)
	for b, e := range r.f.net.elements {
		if e.form == power && !e.opened && e.s != 0 {
			v := cmplx.Abs(r.V(e.a) - r.V(e.b))
			if q := v / math.Max(e.rated, 1e-9); q < ratio {
				ratio, worst.Worst, worst.Volts = q, Branch(b), v
			}
		}
	}
	return worst
}

// branches finds every branch's current; those of ideal shorts follow from
// Kirchhoff's law over a spanning forest, so a short that closes a loop of
// shorts carries none.
func (r *Result) branches() {
	f := r.f
	out := make([]complex128, f.net.nodes) // current leaving a node over all but shorts
	var shorts []Branch
	for b, e := range f.net.elements {
		if e.opened || f.Dead(e.a) || (e.form == power || e.form == injection) && !f.carries(e) {
			r.i[b] = 0
			continue
		}
		switch e.form {
		case impedance:
			if e.z == 0 {
				shorts = append(shorts, Branch(b))
				continue
			}
			r.i[b] = (r.V(e.a) - r.V(e.b)) / e.z
		case source:
			r.i[b] = (r.V(e.a) - r.V(e.b) - e.emf) / e.z
		case injection:
			r.i[b] = e.i
		}
		out[e.a] += r.i[b]
		out[e.b] -= r.i[b]
	}
	r.shortCurrents(shorts, out)
}

// shortCurrents peels the leaves off the forest of shorts: a leaf's short brings
// it what leaves it otherwise.
func (r *Result) shortCurrents(shorts []Branch, out []complex128) {
	f := r.f
	up := make([]int32, f.net.nodes)
	for i := range up {
		up[i] = int32(i)
	}
	forest := make([]Branch, 0, len(shorts))
	degree := make([]int32, f.net.nodes)
	for _, b := range shorts {
		e := f.net.elements[b]
		if find(up, int32(e.a)) == find(up, int32(e.b)) {
			continue
		}
		union(up, int32(e.a), int32(e.b))
		forest = append(forest, b)
		degree[e.a]++
		degree[e.b]++
	}
	start := make([]int32, f.net.nodes+1) // the forest's branches by node
	for n, d := range degree {
		start[n+1] = start[n] + d
	}
	fill := append([]int32(nil), start...)
	at := make([]Branch, start[f.net.nodes])
	for _, b := range forest {
		e := f.net.elements[b]
		at[fill[e.a]], fill[e.a] = b, fill[e.a]+1
		at[fill[e.b]], fill[e.b] = b, fill[e.b]+1
	}
	var leaves []Node
	for n, d := range degree {
		if d == 1 {
			leaves = append(leaves, Node(n))
		}
	}
	used := make([]bool, len(f.net.elements))
	for len(leaves) > 0 {
		n := leaves[len(leaves)-1]
		leaves = leaves[:len(leaves)-1]
		if degree[n] != 1 {
			continue
		}
		for _, b := range at[start[n]:start[n+1]] {
			if used[b] {
				continue
			}
			used[b] = true
			e := f.net.elements[b]
			o := e.a
			if o == n {
				o = e.b
				r.i[b] = -out[n]
			} else {
				r.i[b] = out[n]
			}
			out[o] += out[n]
			out[n] = 0
			degree[n]--
			degree[o]--
			if degree[o] == 1 {
				leaves = append(leaves, o)
			}
		}
	}
}

// audit checks Kirchhoff's current law at every node and the power balance.
func (r *Result) audit() {
	f := r.f
	sum := make([]complex128, f.net.nodes)
	largest := 0.0
	var taken, given float64
	for b, e := range f.net.elements {
		if e.opened {
			continue
		}
		sum[e.a] += r.i[b]
		sum[e.b] -= r.i[b]
		largest = math.Max(largest, cmplx.Abs(r.i[b]))
		s := r.S(Branch(b))
		if real(s) > 0 {
			taken += real(s)
		} else {
			given -= real(s)
		}
	}
	largest = math.Max(largest, noise)
	for _, i := range sum {
		r.KCLWorst = math.Max(r.KCLWorst, cmplx.Abs(i)/largest)
	}
	if m := math.Max(taken, given); m > noise {
		r.Imbalance = math.Abs(taken-given) / m
	}
}

// Thevenin is the impedance between two nodes with every EMF and load at rest,
// in ohms; ok is false where no branch joins them.
func (f *Factored) Thevenin(a, b Node) (z complex128, ok bool) {
	if !f.SameIsland(a, b) || f.Dead(a) {
		return 0, false
	}
	x := make([]complex128, len(f.diag))
	ra, rb := f.row[f.group[a]], f.row[f.group[b]]
	if ra >= 0 {
		x[ra]++
	}
	if rb >= 0 {
		x[rb]--
	}
	f.backsolve(x)
	if ra >= 0 {
		z += x[ra]
	}
	if rb >= 0 {
		z -= x[rb]
	}
	return z, true
}
