// Package nodal solves networks of nodes, branches and sources, with loads of
// constant power among them. It knows nothing of rigs. Voltages and currents are
// phasors (rms volts and amperes); a DC network is one whose values are real.
//
// # How
//
// Nodes that ideal shorts and ideal sources join are one unknown, so nothing is
// made nearly zero: the voltages between them are exact, and their currents
// follow from Kirchhoff's law. What is left is eliminated node by node, each
// node's star of branches becoming the mesh between its neighbours, in an order
// that keeps the meshes small (minimum degree). Only admittances are added on the
// way, never subtracted, so a milliohm beside a megohm costs no digits. The
// factors serve every further question: other sources, other loads, faults, a
// few changed branches.
//
// # What is defined
//
//   - Every connected island is solved apart and has its own zero: the preferred
//     node if there is one, else the minus of its first source.
//   - An island without a source is dead: its nodes are at 0 V and its branches
//     carry nothing.
//   - Power loads join what they stand between: a neutral that only loads hold
//     has the voltage that they leave it, not none.
//   - Ideal shorts that make a loop share its current as equal resistances would.
//   - Ideal sources that make a loop share likewise if their EMFs agree; if they
//     do not, that is a Conflict that names both.
//   - A load or a current source whose current has no way back carries none and
//     is named in Result.Idle.
//
// Every solution is held to Kirchhoff's current law at every node, to the power
// balance and to the power that each load asked for; Result has the residuals.
package nodal

import (
	"math"
	"slices"
)

// Node is a node of a network, from 0.
type Node int

// Branch is a branch, in the order in which branches were added, from 0.
type Branch int

type form uint8

const (
	impedance form = iota
	source         // EMF behind an impedance
	injection      // current source
	power          // constant apparent power
)

// floor is the part of its rated voltage below which a power load becomes the
// impedance that it has there, so that a solution exists.
const floor = 0.7

type element struct {
	z      complex128 // of an impedance or a source; 0 is ideal
	x      complex128 // EMF of a source, amperes of a current source, VA of a load
	rated  float64    // V, of a load
	a, b   int32
	form   form
	opened bool
}

// ideal tells whether the voltage across an element is given.
func (e *element) ideal() bool {
	return !e.opened && e.z == 0 && (e.form == impedance || e.form == source)
}

// passive tells whether an element puts an admittance between its ends.
func (e *element) passive() bool {
	return !e.opened && e.z != 0 && (e.form == impedance || e.form == source)
}

// emf is the voltage that a source puts into its branch, 0 for others.
func (e *element) emf() complex128 {
	if e.form == source {
		return e.x
	}
	return 0
}

// Network is a network under construction. Figures that the factors do not hold
// (EMFs, currents, powers) may be set after Factor too, and then hold in the next
// Solve.
type Network struct {
	nodes    int
	elements []element
	prefer   []Node
}

// New makes a network of n nodes without branches.
func New(n int) *Network { return &Network{nodes: n} }

// Grow makes room for so many more branches.
func (w *Network) Grow(branches int) { w.elements = slices.Grow(w.elements, branches) }

func (w *Network) add(a, b Node, e element) Branch {
	e.a, e.b = end(a), end(b)
	w.elements = append(w.elements, e)
	return Branch(len(w.elements) - 1)
}

// end keeps a node that no network can have recognizable, for Factor to report.
func end(n Node) int32 {
	if n < 0 || n > math.MaxInt32 {
		return -1
	}
	return int32(n)
}

// Branch adds a series impedance in ohms; zero is an ideal short, handled exactly.
func (w *Network) Branch(a, b Node, z complex128) Branch {
	return w.add(a, b, element{form: impedance, z: z})
}

// Source adds an EMF in volts, plus against minus, behind an impedance in ohms;
// zero is an ideal source, handled exactly.
func (w *Network) Source(plus, minus Node, emf, z complex128) Branch {
	return w.add(plus, minus, element{form: source, z: z, x: emf})
}

// Current adds a source that drives i amperes out of node to, having drawn them
// from node from.
func (w *Network) Current(from, to Node, i complex128) Branch {
	return w.add(from, to, element{form: injection, x: i})
}

// Power adds a load that draws s volt-amperes between a and b at any voltage
// down to 70 % of ratedV, and below that is the impedance it has there. A ratedV
// of 0 makes it draw its power to the last volt, and such a load joins nothing.
// A negative power is one that is fed in.
func (w *Network) Power(a, b Node, s complex128, ratedV float64) Branch {
	return w.add(a, b, element{form: power, x: s, rated: ratedV})
}

// Reference prefers a node as the zero of its island. Of two in one island the
// one preferred first is it.
func (w *Network) Reference(n Node) {
	if !slices.Contains(w.prefer, n) {
		w.prefer = append(w.prefer, n)
	}
}

// SetPower changes what a load draws, in volt-amperes.
func (w *Network) SetPower(b Branch, s complex128) { w.elements[b].x = s }

// SetEMF changes a source's EMF, in volts.
func (w *Network) SetEMF(b Branch, emf complex128) { w.elements[b].x = emf }

// SetCurrent changes a current source, in amperes.
func (w *Network) SetCurrent(b Branch, i complex128) { w.elements[b].x = i }

// PowerOf is what a power load draws at its rated voltage, in volt-amperes.
func (w *Network) PowerOf(b Branch) complex128 { return w.elements[b].x }

// Open takes a branch out and Close puts it back. Factors made before do not know
// of it; Factored.With opens a branch of theirs.
func (w *Network) Open(b Branch) { w.elements[b].opened = true }

// Close puts an opened branch back.
func (w *Network) Close(b Branch) { w.elements[b].opened = false }

// Clone copies the network, to be changed and factored apart.
func (w *Network) Clone() *Network {
	return &Network{nodes: w.nodes, elements: slices.Clone(w.elements), prefer: slices.Clone(w.prefer)}
}

// Same tells whether two networks are alike in every figure.
func (w *Network) Same(o *Network) bool {
	return w.nodes == o.nodes && slices.Equal(w.elements, o.elements) && slices.Equal(w.prefer, o.prefer)
}

// fit tells what is wrong with the figures, nil if nothing is.
func (w *Network) fit() error {
	for b := range w.elements {
		e := &w.elements[b]
		if !e.opened && (e.a < 0 || e.b < 0 || int(e.a) >= w.nodes || int(e.b) >= w.nodes) {
			return &Unfit{Branch(b), "an end that is not a node of the network"}
		}
		if err := fitFigures(Branch(b), e); err != nil {
			return err
		}
	}
	for _, n := range w.prefer {
		if n < 0 || int(n) >= w.nodes {
			return &Unfit{-1, "a reference that is not a node of the network"}
		}
	}
	return nil
}

func fitFigures(b Branch, e *element) error {
	switch {
	case e.opened:
		return nil
	case !finite(e.z):
		return &Unfit{b, "an impedance that is not a finite number"}
	case !finite(e.x):
		return &Unfit{b, "an EMF, a current or a power that is not a finite number"}
	case e.form == power && !(e.rated >= 0 && e.rated <= math.MaxFloat64):
		return &Unfit{b, "a rated voltage that is not zero or more"}
	case e.z != 0 && size(e.z) < least:
		return &Unfit{b, "an impedance too small to tell from an ideal short: make it 0"}
	}
	return nil
}

// least is the smallest impedance that is not an ideal short, in ohms: a current
// through less could not be told as a number.
const least = 1e-290

// finite is quick: a number less itself is 0, but not so an infinity or a NaN.
func finite(z complex128) bool {
	return real(z)-real(z) == 0 && imag(z)-imag(z) == 0
}
