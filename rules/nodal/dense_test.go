package nodal

import (
	"math/cmplx"
	"math/rand"
)

// dense solves a network another way: one full matrix of node voltages and of
// the currents of every source and short, with the largest pivot of each column.
// It takes power loads as the impedances that a result gives them. Its ideal
// branches must make no loops.
func dense(w *Network, r *Result) (v, i []complex128) {
	n, m := w.nodes, len(w.elements)
	a := make([][]complex128, n+m)
	for k := range a {
		a[k] = make([]complex128, n+m+1)
	}
	zero := map[Node]bool{}
	for _, x := range r.Islands() {
		zero[x.Reference] = true
	}
	for k := range w.elements {
		e := &w.elements[k]
		row := a[n+k] // the element's own law
		a[e.a][n+k]++ // what leaves its nodes
		a[e.b][n+k]--
		switch {
		case e.opened || !r.f.top.live(e):
			row[n+k] = 1
		case e.form == injection:
			row[n+k], row[n+m] = 1, e.x
		case e.form == power:
			z := complex128(cmplx.Inf())
			if r.i[k] != 0 {
				z = r.Across(Branch(k)) / r.i[k]
			}
			if cmplx.IsInf(z) {
				row[n+k] = 1
				break
			}
			row[e.a]++
			row[e.b]--
			row[n+k] -= z
		default:
			row[e.a]++
			row[e.b]--
			row[n+k] -= e.z
			row[n+m] = e.emf()
		}
	}
	for k := range n {
		if zero[Node(k)] || r.Dead(Node(k)) {
			clear(a[k])
			a[k][k] = 1
		}
	}
	x := gauss(a)
	return x[:n], x[n:]
}

// gauss solves a·x = b for the augmented rows a|b.
func gauss(a [][]complex128) []complex128 {
	n := len(a)
	for c := range n {
		best := c
		for r := c + 1; r < n; r++ {
			if abs(a[r][c]) > abs(a[best][c]) {
				best = r
			}
		}
		a[c], a[best] = a[best], a[c]
		for r := c + 1; r < n; r++ {
			if a[r][c] == 0 {
				continue
			}
			q := a[r][c] / a[c][c]
			for k := c; k <= n; k++ {
				a[r][k] -= q * a[c][k]
			}
		}
	}
	x := make([]complex128, n)
	for c := n - 1; c >= 0; c-- {
		s := a[c][n]
		for k := c + 1; k < n; k++ {
			s -= a[c][k] * x[k]
		}
		x[c] = s / a[c][c]
	}
	return x
}

// made describes a made-up network well enough to be built again, relabelled or
// in part.
type made struct {
	nodes    int
	elements []element
}

func (m made) build() *Network {
	return &Network{nodes: m.nodes, elements: append([]element(nil), m.elements...)}
}

// invent makes up a network: a tree of runs with loops, shorts that make no
// loops, sources real and ideal, current sources, loads if asked for, spare nodes,
// and a second island.
func invent(rng *rand.Rand, loads bool) made {
	n := 4 + rng.Intn(40)
	m := made{nodes: 2*n + 2}
	put := func(f form, a, b int, z, x complex128) {
		m.elements = append(m.elements, element{form: f, a: int32(a), b: int32(b), z: z, x: x, rated: 120})
	}
	z := func() complex128 { return complex(0.005+rng.Float64(), 0.3*rng.Float64()*float64(rng.Intn(2))) }
	for _, base := range []int{0, n} {
		put(source, base+1, base, z()/10, 120)
		put(source, base+2, base, complex(0, 0.02+0.1*rng.Float64()), cmplx.Rect(120, []float64{0, cmplx.Phase(-1), 2.0943951023931953}[rng.Intn(3)]))
		tree := sets(n)
		for k := 1; k < n; k++ {
			at := rng.Intn(k)
			zk := z()
			if rng.Intn(5) == 0 && find(tree, int32(at)) != find(tree, int32(k)) {
				zk = 0
				union(tree, int32(at), int32(k))
			}
			if rng.Intn(2) == 0 {
				put(impedance, base+at, base+k, zk, 0)
			} else {
				put(impedance, base+k, base+at, zk, 0)
			}
		}
		if a, b := rng.Intn(n), rng.Intn(n); find(tree, int32(a)) != find(tree, int32(b)) {
			put(source, base+a, base+b, 0, complex(5*rng.Float64(), rng.Float64()))
		}
		for range rng.Intn(n) {
			put(impedance, base+rng.Intn(n), base+rng.Intn(n), z(), 0)
		}
		for range rng.Intn(3) {
			put(injection, base+rng.Intn(n), base+rng.Intn(n), 0, complex(4*rng.Float64(), rng.Float64()))
		}
		if loads {
			for range 1 + rng.Intn(6) {
				pf := 0.6 + 0.4*rng.Float64()
				va := 20 + 600*rng.Float64()
				put(power, base+1+rng.Intn(n-1), base, 0, complex(va*pf, va*(1-pf)))
			}
		}
		if n > 30 {
			break // the rest are lone nodes
		}
	}
	return m
}
