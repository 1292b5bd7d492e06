package nodal

import (
	"math/rand"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTheveninOfADivider(t *testing.T) {
	w := New(4)
	w.Source(1, 0, 12, 0.5)
	w.Branch(1, 2, 1.5)
	w.Branch(2, 0, 6)
	f, err := w.Factor()
	require.NoError(t, err)
	z, ok := f.Thevenin(2, 0)
	require.True(t, ok)
	near(t, 1.5, z, exact) // 2 ∥ 6
	_, ok = f.Thevenin(2, 3)
	assert.False(t, ok, "no loop")
	z, ok = f.Thevenin(2, 2)
	assert.True(t, ok)
	assert.Zero(t, z)
}

// Brute force: an ampere more through the pair changes its voltage by Z, and a
// branch of the fault's impedance in a fresh network carries the fault's current,
// with the same voltages and currents everywhere.
func TestFaultsAgainstBruteForce(t *testing.T) {
	for seed := range int64(networks) {
		rng := rand.New(rand.NewSource(seed))
		m := invent(rng, false)
		w := m.build()
		f, err := w.Factor()
		require.NoError(t, err)
		r, err := f.Solve()
		require.NoError(t, err)
		a, b := Node(rng.Intn(m.nodes)), Node(rng.Intn(m.nodes))
		z, ok := f.Thevenin(a, b)
		if !ok {
			assert.True(t, r.Dead(a) || !f.SameIsland(a, b))
			_, err = f.FaultCurrent(a, b, 0)
			var apart *Apart
			require.ErrorAs(t, err, &apart)
			continue
		}
		more := m.build()
		more.Current(b, a, 1)
		p := solve(t, more)
		near(t, (p.V(a)-p.V(b))-(r.V(a)-r.V(b))+1, z+1, 1e-8, "seed", seed)

		zFault := complex(0.001+rng.Float64(), 0.01)
		if a == b {
			continue
		}
		joined := m.build()
		x := joined.Branch(a, b, zFault)
		want := solve(t, joined)
		fault, err := f.FaultCurrent(a, b, zFault)
		require.NoError(t, err)
		near(t, want.I(x)+1, fault.I+1, exact, "seed", seed)
		near(t, r.V(a)-r.V(b)+1, fault.Open+1, exact)
		alike(t, want.v, want.i[:x], fault.Result, exact, "seed", seed)
		sum := complex128(0)
		for _, c := range fault.Contributions() {
			assert.Equal(t, -fault.Result.I(c.Branch), c.I)
			sum += c.I
		}
		assert.NotZero(t, sum)
	}
}

// A bank of two strings with an inverter's capacitor between: each string gives
// by its resistance, E/(r1+r) and so on; a bolted fault at the bus.
func TestFaultContributions(t *testing.T) {
	w := New(4)
	one := w.Source(1, 0, 13.6, 0.010)
	two := w.Source(2, 0, 13.6, 0.020)
	w.Branch(1, 3, 0.002)
	w.Branch(2, 3, 0.004)
	w.Power(3, 0, 500, 12)
	f, err := w.Factor()
	require.NoError(t, err)
	fault, err := f.FaultCurrent(3, 0, 0)
	require.NoError(t, err)
	near(t, 13.6, fault.Open, exact)
	near(t, 0.008, fault.Z, exact) // 12 mΩ ∥ 24 mΩ
	near(t, 1700, fault.I, exact)
	got := fault.Contributions()
	require.Len(t, got, 2)
	assert.Equal(t, []Branch{one, two}, []Branch{got[0].Branch, got[1].Branch})
	near(t, 13.6/0.012, got[0].I, 1e-8)
	near(t, 13.6/0.024, got[1].I, 1e-8)
	assert.InDelta(t, 0, abs(fault.V(3)), 1e-9)
}

// What ideal branches join has no impedance between: a fault there is either
// nothing or without limit. Behind a run it is limited by the run, and the ideal
// source's part follows from Kirchhoff's law.
func TestFaultsAtIdealBranches(t *testing.T) {
	w := New(4)
	s := w.Source(1, 0, 12, 0)
	w.Branch(1, 2, 0)
	w.Branch(2, 3, 0.01)
	f, err := w.Factor()
	require.NoError(t, err)
	_, err = f.FaultCurrent(2, 0, 0)
	var no *Unlimited
	require.ErrorAs(t, err, &no)
	fault, err := f.FaultCurrent(1, 2, 0)
	require.NoError(t, err)
	assert.Zero(t, fault.I)
	fault, err = f.FaultCurrent(2, 0, 0.5)
	require.NoError(t, err)
	near(t, 24, fault.I, exact)
	fault, err = f.FaultCurrent(3, 0, 0)
	require.NoError(t, err)
	near(t, 1200, fault.I, exact)
	near(t, 1200, fault.Contributions()[0].I, exact)
	assert.Equal(t, s, fault.Contributions()[0].Branch)
}

// A fault beyond loads that alone hold a neutral passes through them.
func TestFaultBeyondAnOpenNeutral(t *testing.T) {
	w := New(4)
	w.Source(1, 0, 120, 0.01)
	w.Source(2, 0, -120, 0.01)
	w.Power(1, 3, 120, 120)
	w.Power(3, 2, 120, 120)
	f, err := w.Factor()
	require.NoError(t, err)
	fault, err := f.FaultCurrent(1, 3, 0)
	require.NoError(t, err)
	assert.InDelta(t, 240.0/120, abs(fault.I), 1e-3) // 120 Ω of the other load, twice its voltage
}
