// Package nodal solves linear networks with constant-power loads: nodes,
// branches, sources. It knows nothing of rigs. Voltages and currents are
// phasors; a DC network is one whose values are real.
//
// The network's admittance matrix is complex symmetric and nearly a tree. Each
// island (nodes joined by branches) is factored once, L·D·Lᵀ, in an order that
// keeps the fill small (minimum degree), and the factors serve every further
// question.
package nodal

import "math/cmplx"

// Node is a node of a network.
type Node int

// Branch is a branch, in the order in which branches were added.
type Branch int

type form uint8

const (
	impedance form = iota
	source         // EMF behind an impedance
	injection      // current source
	power          // constant apparent power
)

type element struct {
	form   form
	a, b   Node
	z      complex128 // of an impedance or a source; 0 is an ideal short
	emf    complex128
	i      complex128 // of a current source, from a to b through the element
	s      complex128 // VA drawn
	rated  float64    // V, below 70 % of which a power load becomes an impedance
	opened bool
}

// Network is a network under construction.
type Network struct {
	nodes    int
	elements []element
	prefer   map[Node]bool
}

// New makes a network of n nodes.
func New(n int) *Network { return &Network{nodes: n, prefer: map[Node]bool{}} }

func (w *Network) add(e element) Branch {
	w.elements = append(w.elements, e)
	return Branch(len(w.elements) - 1)
}

// Branch adds a series impedance in ohms; zero is an ideal short, handled exactly.
func (w *Network) Branch(a, b Node, z complex128) Branch {
	return w.add(element{form: impedance, a: a, b: b, z: z})
}

// Source adds an EMF in volts, plus against minus, behind an impedance that must
// not be zero: real sources have one, and two ideal ones side by side have no
// answer.
func (w *Network) Source(plus, minus Node, emf, z complex128) Branch {
	return w.add(element{form: source, a: plus, b: minus, emf: emf, z: z})
}

// Current adds a source that drives i amperes out of node to, having drawn them
// from node from.
func (w *Network) Current(from, to Node, i complex128) Branch {
	return w.add(element{form: injection, a: from, b: to, i: i})
}

// Power adds a load that draws s volt-amperes between a and b at any voltage
// down to 70 % of ratedV, and below that is the impedance it has there.
func (w *Network) Power(a, b Node, s complex128, ratedV float64) Branch {
	return w.add(element{form: power, a: a, b: b, s: s, rated: ratedV})
}

// Reference prefers a node as the zero of its island. Where none is preferred it
// is the minus of the island's first source.
func (w *Network) Reference(n Node) { w.prefer[n] = true }

// SetPower, SetEMF and SetCurrent change a figure that the factors do not hold.
func (w *Network) SetPower(b Branch, s complex128)   { w.elements[b].s = s }
func (w *Network) SetEMF(b Branch, emf complex128)   { w.elements[b].emf = emf }
func (w *Network) SetCurrent(b Branch, i complex128) { w.elements[b].i = i }

// Open takes a branch out, for a network that is factored anew.
func (w *Network) Open(b Branch) { w.elements[b].opened = true }

// Clone copies the network, to be changed and factored apart.
func (w *Network) Clone() *Network {
	c := &Network{nodes: w.nodes, elements: append([]element(nil), w.elements...), prefer: w.prefer}
	return c
}

// SetSource changes a source's EMF and impedance; a factored network is stale then.
func (w *Network) SetSource(b Branch, emf, z complex128) {
	w.elements[b].emf, w.elements[b].z = emf, z
}

// PowerOf is what a power load draws at its rated voltage.
func (w *Network) PowerOf(b Branch) complex128 { return w.elements[b].s }

// Element is a branch as another program may read it. A power load has the
// impedance that it has in the result.
type Element struct {
	Branch Branch
	A, B   Node
	EMF    complex128 // against B, behind Z
	I      complex128 // of a current source, from A through it to B
	Z      complex128 // 0 is an ideal short
	Source bool
	Driven bool // a current source
}

// Elements are the branches that carry current in a result, power loads as their
// converged impedances.
func (r *Result) Elements() []Element {
	var all []Element
	for k, e := range r.f.net.elements {
		b := Branch(k)
		if e.opened || r.f.Dead(e.a) {
			continue
		}
		x := Element{Branch: b, A: e.a, B: e.b, Z: e.z, EMF: e.emf, Source: e.form == source, Driven: e.form == injection}
		switch e.form {
		case injection:
			if !r.f.carries(e) {
				continue
			}
			x.I = e.i
		case power:
			if r.i[b] == 0 {
				continue
			}
			v := r.V(e.a) - r.V(e.b)
			x.Z = v / r.i[b]
			if least := 0.7 * e.rated; cmplx.Abs(v) < least {
				x.Z = complex(least*least, 0) / cmplx.Conj(e.s)
			}
		}
		all = append(all, x)
	}
	return all
}

// Ground tells whether a node is its island's reference.
func (r *Result) Ground(n Node) bool {
	g := r.f.group[n]
	return r.f.ref[r.f.isle[g]] == g
}
