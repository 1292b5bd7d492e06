package nodal

import (
	"math"
	"math/rand"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const networks = 200

func largest(x []complex128) float64 {
	most := 1e-12
	for _, z := range x {
		most = math.Max(most, abs(z))
	}
	return most
}

// alike holds every voltage and current of a network to another's, within a part
// of the largest of each.
func alike(t *testing.T, v, i []complex128, r *Result, within float64, what ...any) {
	t.Helper()
	mostV, mostI := largest(v), largest(i)
	for n := range v {
		if d := abs(v[n] - r.v[n]); !(d <= within*mostV) {
			assert.Fail(t, "voltage", "node %d: want %v, got %v %v", n, v[n], r.v[n], what)
			return
		}
	}
	for b := range i {
		if d := abs(i[b] - r.i[b]); !(d <= within*mostI) {
			assert.Fail(t, "current", "branch %d: want %v, got %v %v", b, i[b], r.i[b], what)
			return
		}
	}
}

// Made-up networks, with and without power loads, agree with a full matrix on
// every voltage and current, and hold to Kirchhoff and the power balance.
func TestAgreesWithFullMatrix(t *testing.T) {
	for seed := range int64(networks) {
		w := invent(rand.New(rand.NewSource(seed)), seed%2 == 1).build()
		r := solve(t, w)
		v, i := dense(w, r)
		alike(t, v, i, r, exact, "seed", seed)
	}
}

// Superposition: the sources one at a time add up to all together.
func TestSuperposition(t *testing.T) {
	for seed := range int64(networks) {
		m := invent(rand.New(rand.NewSource(seed)), false)
		w := m.build()
		f, err := w.Factor()
		require.NoError(t, err)
		all, err := f.Solve()
		require.NoError(t, err)
		v, i := make([]complex128, len(all.v)), make([]complex128, len(all.i))
		for only := range w.elements {
			if e := w.elements[only]; e.form == impedance {
				continue
			}
			for k, e := range m.elements {
				w.elements[k].x = 0
				if k == only {
					w.elements[k].x = e.x
				}
			}
			r, err := f.Solve()
			require.NoError(t, err)
			for n := range v {
				v[n] += r.v[n]
			}
			for b := range i {
				i[b] += r.i[b]
			}
		}
		alike(t, v, i, all, exact, "seed", seed)
	}
}

// Relabelling nodes, turning branches round and adding them in another order
// changes nothing but the labels; loops of shorts share alike all the same.
func TestRelabelling(t *testing.T) {
	for seed := range int64(networks) {
		rng := rand.New(rand.NewSource(seed))
		m := invent(rng, seed%2 == 1)
		for range 3 { // shorts that may make loops
			a := rng.Intn(m.nodes)
			for _, e := range m.elements {
				if e.ideal() && e.form == impedance && int(e.a) == a {
					m.elements = append(m.elements, element{form: impedance, a: e.a, b: e.b})
					break
				}
			}
		}
		w := m.build()
		w.Reference(0)
		w.Reference(Node(m.nodes / 2))
		r := solve(t, w)
		node, branch := rng.Perm(m.nodes), rng.Perm(len(m.elements))
		u := New(m.nodes)
		u.elements = make([]element, len(m.elements))
		turned := make([]bool, len(m.elements))
		for k, e := range m.elements {
			e.a, e.b = int32(node[e.a]), int32(node[e.b])
			if rng.Intn(2) == 0 {
				e.a, e.b = e.b, e.a
				turned[k] = true
				if e.form == source || e.form == injection {
					e.x = -e.x
				}
			}
			u.elements[branch[k]] = e
		}
		u.Reference(Node(node[0]))
		u.Reference(Node(node[m.nodes/2]))
		q := solve(t, u)
		v, i := make([]complex128, len(r.v)), make([]complex128, len(r.i))
		for n := range v {
			v[n] = q.v[node[n]]
		}
		// an island whose reference was not named may have another zero
		for n := range v {
			v[n] += r.v[r.Reference(Node(n))] - q.v[node[r.Reference(Node(n))]]
		}
		for b := range i {
			i[b] = q.i[branch[b]]
			if turned[b] {
				i[b] = -i[b]
			}
		}
		within := exact
		if seed%2 == 1 {
			within = 1e-7 // power loads come to rest within 1e-9 of the voltage
		}
		alike(t, v, i, r, within, "seed", seed)
	}
}

// Solving twice gives the same bits.
func TestSolvesAlikeTwice(t *testing.T) {
	for seed := range int64(20) {
		m := invent(rand.New(rand.NewSource(seed)), true)
		a, b := solve(t, m.build()), solve(t, m.build())
		assert.Equal(t, a.v, b.v)
		assert.Equal(t, a.i, b.i)
	}
}

// Networks of any shape: wide stars, rings, grids, and wires beside each other,
// against the full matrix.
func TestShapes(t *testing.T) {
	ring := func(n int) *Network {
		w := New(n)
		w.Source(1, 0, 12, 0.1)
		for k := range n {
			w.Branch(Node(k), Node((k+1)%n), complex(1+float64(k%3), 0))
		}
		return w
	}
	star := func(n int) *Network {
		w := New(n + 3)
		w.Source(1, 0, 12, 0.1)
		w.Branch(1, 2, 0.1)
		for k := range n {
			w.Branch(2, Node(3+k), 1)
			w.Branch(Node(3+k), 0, complex(5+float64(k%7), 0))
		}
		return w
	}
	grid := func(n int) *Network {
		w := New(n * n)
		w.Source(Node(n*n-1), 0, 12, 0.1)
		for r := range n {
			for c := range n {
				if c+1 < n {
					w.Branch(Node(r*n+c), Node(r*n+c+1), complex(1+0.1*float64(r), 0.2))
				}
				if r+1 < n {
					w.Branch(Node(r*n+c), Node(r*n+n+c), complex(2, 0.1*float64(c)))
				}
			}
		}
		return w
	}
	full := func(n int) *Network {
		w := New(n)
		w.Source(1, 0, 12, 0.1)
		for a := range n {
			for b := range a {
				w.Branch(Node(a), Node(b), complex(1+float64((a*b)%5), 0))
			}
		}
		return w
	}
	for name, w := range map[string]*Network{"ring": ring(50), "star": star(120), "grid": grid(9), "full": full(25)} {
		t.Run(name, func(t *testing.T) {
			r := solve(t, w)
			v, i := dense(w, r)
			alike(t, v, i, r, exact)
		})
	}
}

// The order holds every unknown once, and its fill stays small on a tree and on
// a ladder of three wires.
func TestOrderAndFill(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	for range 100 {
		n := 1 + rng.Intn(60)
		var ties []tie
		for range rng.Intn(4 * n) {
			ties = append(ties, tie{int32(rng.Intn(n+1) - 1), int32(rng.Intn(n+1) - 1), 1})
		}
		seen := make([]bool, n)
		for _, i := range minimumDegree(neighbours(n, ties)) {
			require.False(t, seen[i])
			seen[i] = true
		}
		for i := range seen {
			require.True(t, seen[i])
		}
	}
	const n = 3000
	var tree, ladder []tie
	for k := 1; k < n; k++ {
		tree = append(tree, tie{int32(rng.Intn(k)), int32(k), 1})
	}
	for k := range n {
		if k >= 3 {
			ladder = append(ladder, tie{int32(k - 3), int32(k), 1})
		}
		if k%3 > 0 {
			ladder = append(ladder, tie{int32(k - k%3), int32(k), 1})
		}
	}
	assert.Len(t, analyse(n, tree).later, n-1, "a tree has no fill")
	assert.Less(t, len(analyse(n, ladder).later), 3*n)
}
