package nodal

import (
	"math/rand"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// change applies a change to a network that is then factored afresh.
func (c Change) apply(w *Network) {
	switch c.kind {
	case opens:
		w.Open(c.branch)
	case replaces:
		w.elements[c.branch].z, w.elements[c.branch].opened = c.x, false
	case adds:
		w.Branch(c.a, c.b, c.x)
	default:
		w.elements[c.branch].x = c.x
	}
}

// pick makes up a change that a network can take.
func pick(rng *rand.Rand, w *Network) Change {
	for {
		b := Branch(rng.Intn(len(w.elements)))
		e := w.elements[b]
		z := complex(0.01+rng.Float64(), 0.1*rng.Float64())
		switch rng.Intn(6) {
		case 0:
			return Open(b)
		case 1:
			if e.form == impedance || e.form == source && e.z != 0 {
				return Replace(b, z)
			}
		case 2:
			return Add(Node(rng.Intn(w.nodes)), Node(rng.Intn(w.nodes)), z)
		case 3:
			if e.form == source {
				return SetSource(b, complex(100+30*rng.Float64(), 5))
			}
		case 4:
			if e.form == injection {
				return SetCurrent(b, complex(rng.Float64(), 1))
			}
		case 5:
			if e.form == power {
				return SetPower(b, complex(float64(rng.Intn(3))*200*rng.Float64(), 10))
			}
		}
	}
}

// With gives what a fresh network would, for one change, for several, and for
// changes on changes.
func TestWithEqualsFresh(t *testing.T) {
	low, again := 0, 0
	for seed := range int64(3 * networks) {
		rng := rand.New(rand.NewSource(seed))
		m := invent(rng, seed%2 == 1)
		w := m.build()
		f, err := w.Factor()
		require.NoError(t, err)
		before, err := f.Solve()
		require.NoError(t, err)
		kept := append([]complex128(nil), before.v...)
		fresh := m.build()
		g := f
		for range 1 + rng.Intn(3) {
			var changes []Change
			for range 1 + rng.Intn(3) {
				c := pick(rng, fresh)
				changes = append(changes, c)
				c.apply(fresh)
			}
			g = g.With(changes...)
		}
		if g.err == nil && g.low != nil {
			low++
		} else if g.base != f.base {
			again++
		}
		h, err := fresh.Factor()
		require.NoError(t, err)
		want, err := h.Solve()
		require.NoError(t, err, "seed %d", seed)
		got, err := g.Solve()
		require.NoError(t, err, "seed %d", seed)
		within := exact
		if seed%2 == 1 {
			within = 1e-7 // power loads come to rest within 1e-9 of the voltage
		}
		alike(t, want.v, want.i, got, within, "seed", seed)
		assert.Equal(t, want.Islands(), got.Islands())
		after, err := f.Solve()
		require.NoError(t, err)
		assert.Equal(t, kept, after.v, "the one it was made from stays as it was")
	}
	t.Logf("of %d: %d corrected at low rank, %d eliminated anew", 3*networks, low, again)
	assert.Greater(t, low, networks/2)
	assert.Greater(t, again, networks/2)
}

// Opening the neutral of a stiff feeder: 10 µΩ carried all of it, and what is
// left is ten million times as much. No digit may be lost.
func TestOpeningWhatCarriedAll(t *testing.T) {
	build := func() *Network {
		w := New(4)
		w.Source(1, 0, 120, 1e-5)
		w.Source(2, 0, -120, 1e-5)
		w.Branch(3, 0, 1e-5)
		w.Branch(1, 3, 144)
		w.Branch(3, 2, 72)
		return w
	}
	f, err := build().Factor()
	require.NoError(t, err)
	got, err := f.With(Open(2)).Solve()
	require.NoError(t, err)
	near(t, 144*240/complex(216+2e-5, 0), got.Across(3), exact)
	assert.Zero(t, got.I(2))
}

// Opening the only way to a load leaves it dead; closing it again brings it back.
func TestOpenAndCloseABridge(t *testing.T) {
	w := New(3)
	w.Source(1, 0, 12, 0.1)
	b := w.Branch(1, 2, 0)
	w.Branch(1, 0, 6)
	f, err := w.Factor()
	require.NoError(t, err)
	open := f.With(Open(b))
	r, err := open.Solve()
	require.NoError(t, err)
	assert.True(t, r.Dead(2))
	assert.Zero(t, r.V(2))
	r, err = open.With(Replace(b, 0)).Solve()
	require.NoError(t, err)
	near(t, 12*6/6.1, r.V(2), exact)
}

func TestWithReportsInSolve(t *testing.T) {
	w := New(2)
	w.Source(1, 0, 12, 1)
	w.Source(1, 0, 12, 0)
	b := w.Branch(1, 0, 3)
	f, err := w.Factor()
	require.NoError(t, err)
	_, err = f.With(Replace(b, 0)).Solve()
	var no *Conflict
	require.ErrorAs(t, err, &no)
	for _, c := range []Change{Open(9), Open(-1), SetPower(0, 5), SetCurrent(0, 5), SetSource(b, 5), Add(0, 7, 1)} {
		g := f.With(c)
		_, err = g.Solve()
		var unfit *Unfit
		require.ErrorAs(t, err, &unfit, "%+v", c)
		_, err = g.With(Open(b)).Solve()
		require.Error(t, err, "an error stays")
		_, ok := g.Thevenin(0, 1)
		assert.False(t, ok)
	}
	g := f.With(Add(0, 1, 6))
	assert.Equal(t, 4, g.Branches())
	r, err := g.Solve()
	require.NoError(t, err)
	near(t, -2, r.I(3), exact) // added from 0 to 1: 12 V / 6 Ω against its direction
}
