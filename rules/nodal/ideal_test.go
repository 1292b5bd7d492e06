package nodal

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Three shorts in a triangle carry 2 A from one corner to the next as three
// equal resistances would: 4/3 A straight, 2/3 A around.
func TestLoopOfShorts(t *testing.T) {
	w := New(5)
	w.Source(1, 0, 12, 1)
	a := w.Branch(1, 2, 0)
	b := w.Branch(2, 3, 0)
	straight := w.Branch(1, 3, 0)
	w.Branch(3, 0, 5)
	self := w.Branch(4, 4, 0)
	r := solve(t, w)
	near(t, 4.0/3, r.I(straight), exact)
	near(t, 2.0/3, r.I(a), exact)
	near(t, 2.0/3, r.I(b), exact)
	assert.Zero(t, r.I(self))
	assert.True(t, r.Dead(4))
}

func TestParallelShortsShareAlike(t *testing.T) {
	w := New(3)
	w.Source(1, 0, 12, 0)
	var all []Branch
	for range 4 {
		all = append(all, w.Branch(1, 2, 0))
	}
	w.Branch(2, 0, 3)
	r := solve(t, w)
	for _, b := range all {
		near(t, 1, r.I(b), exact)
	}
}

// A tree of ideal shorts has its currents from Kirchhoff's law alone.
func TestTreeOfShorts(t *testing.T) {
	w := New(6)
	w.Source(1, 0, 12, 0.5)
	trunk := w.Branch(1, 2, 0)
	left, right := w.Branch(3, 2, 0), w.Branch(2, 4, 0)
	w.Branch(3, 0, 6)
	w.Branch(4, 0, 3)
	stub := w.Branch(4, 5, 0)
	r := solve(t, w)
	i := complex(12/2.5, 0)
	near(t, i, r.I(trunk), exact)
	near(t, -i/3, r.I(left), exact)
	near(t, i*2/3, r.I(right), exact)
	assert.Zero(t, r.I(stub))
}

// An ideal source holds its voltage whatever it gives.
func TestIdealSource(t *testing.T) {
	w := New(4)
	s := w.Source(1, 0, 12, 0)
	up := w.Source(2, 1, 24, 0) // in series
	w.Branch(2, 0, 6)
	w.Branch(1, 3, 2)
	w.Branch(3, 0, 2)
	r := solve(t, w)
	assert.Equal(t, 12+0i, r.V(1))
	assert.Equal(t, 36+0i, r.V(2))
	near(t, -6, r.I(up), exact)
	near(t, -9, r.I(s), exact)
	near(t, 6, r.V(3), exact)
}

// An ideal source between two nodes neither of which is a reference (a supernode).
func TestFloatingIdealSource(t *testing.T) {
	w := New(4)
	w.Source(1, 0, 10, 1)
	s := w.Source(2, 1, 5, 0)
	w.Branch(2, 0, 4)
	r := solve(t, w)
	near(t, 3, -r.I(s), exact) // (10 + 5) / (1 + 4)
	near(t, 7, r.V(1), exact)
	near(t, 12, r.V(2), exact)
}

// Two equal ideal sources in parallel share alike; a short is shared in too.
func TestEqualIdealSourcesInParallel(t *testing.T) {
	w := New(2)
	a := w.Source(1, 0, 12, 0)
	b := w.Source(0, 1, -12, 0) // the same, written the other way round
	w.Branch(1, 0, 2)
	r := solve(t, w)
	near(t, -3, r.I(a), exact)
	near(t, 3, r.I(b), exact)
}

func TestConflicts(t *testing.T) {
	cases := []struct {
		name  string
		build func(*Network) (a, b Branch)
		volts float64
	}{
		{"two sources in parallel", func(w *Network) (a, b Branch) {
			return w.Source(1, 0, 12, 0), w.Source(1, 0, 12.5, 0)
		}, 0.5},
		{"a source shorted", func(w *Network) (a, b Branch) {
			return w.Source(1, 0, 12, 0), w.Branch(0, 1, 0)
		}, 12},
		{"a source shorted on itself", func(w *Network) (a, b Branch) {
			s := w.Source(1, 1, 12, 0)
			return s, s
		}, 12},
		{"around a loop of shorts", func(w *Network) (a, b Branch) {
			w.Branch(0, 2, 0)
			a = w.Source(1, 0, 12, 0)
			w.Branch(2, 3, 0)
			return a, w.Source(1, 3, 24, 0)
		}, 12},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			w := New(4)
			a, b := c.build(w)
			_, err := w.Factor()
			var no *Conflict
			require.ErrorAs(t, err, &no)
			assert.ElementsMatch(t, []Branch{a, b}, []Branch{no.A, no.B})
			assert.InDelta(t, c.volts, no.Volts, exact)
		})
	}
}

// EMFs that are set after Factor are held to each other in Solve.
func TestConflictAfterFactor(t *testing.T) {
	w := New(2)
	a := w.Source(1, 0, 12, 0)
	w.Source(1, 0, 12, 0)
	w.Branch(1, 0, 1)
	f, err := w.Factor()
	require.NoError(t, err)
	w.SetEMF(a, 13)
	_, err = f.Solve()
	var no *Conflict
	require.ErrorAs(t, err, &no)
	w.SetEMF(a, 12)
	_, err = f.Solve()
	require.NoError(t, err)
}

// Shorts at a source's two ends cross: the loop is the source's own.
func TestSourceLoopedOnItselfWithImpedance(t *testing.T) {
	w := New(2)
	s := w.Source(1, 0, 12, 3)
	w.Branch(1, 0, 0)
	r := solve(t, w)
	near(t, -4, r.I(s), exact)
	near(t, -4, -r.I(1), exact)
}
