package nodal

import "math/cmplx"

// Element is a branch as another program may read it. A power load has the
// impedance that it has in the result.
type Element struct {
	Branch Branch
	A, B   Node
	EMF    complex128 // against B, behind Z
	I      complex128 // of a current source, from A through it to B
	Z      complex128 // 0 is ideal
	Source bool
	Driven bool // a current source
}

// Elements are the branches that carry current in a result, power loads as their
// converged impedances.
func (r *Result) Elements() []Element {
	var all []Element
	for k := range r.f.net.elements {
		e := &r.f.net.elements[k]
		b := Branch(k)
		if e.opened || r.f.Dead(Node(e.a)) {
			continue
		}
		x := Element{Branch: b, A: Node(e.a), B: Node(e.b), Z: e.z, EMF: e.emf(), Source: e.form == source, Driven: e.form == injection}
		switch e.form {
		case injection:
			if !r.f.top.carries(e) {
				continue
			}
			x.I = e.x
		case power:
			v := r.Across(b)
			switch {
			case e.x == 0 || !r.f.top.carries(e):
				continue
			case e.low(v):
				knee := floor * e.rated
				x.Z = complex(knee*knee, 0) / cmplx.Conj(e.x)
			case r.i[b] == 0:
				continue
			default:
				x.Z = v / r.i[b]
			}
		}
		all = append(all, x)
	}
	return all
}
