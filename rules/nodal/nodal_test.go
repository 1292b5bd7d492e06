package nodal

import (
	"math"
	"math/cmplx"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// exact is the tolerance against closed forms, relative.
const exact = 1e-9

func solve(t testing.TB, w *Network) *Result {
	t.Helper()
	f, err := w.Factor()
	require.NoError(t, err)
	r, err := f.Solve()
	require.NoError(t, err)
	assert.Less(t, r.KCLWorst, 1e-9)
	assert.Less(t, r.Imbalance, 1e-6)
	assert.Less(t, r.PowerWorst, 1e-6)
	return r
}

// near holds a phasor to another within a part of the second's magnitude.
func near(t testing.TB, want, got complex128, within float64, what ...any) {
	t.Helper()
	if d := abs(got - want); !(d <= within*math.Max(abs(want), 1e-12)) {
		assert.Fail(t, "not near", "want %v, got %v, off by %.3g %v", want, got, d/abs(want), what)
	}
}

// Open neutral with a 100 W and a 200 W lamp on 120 V legs: the lamps divide
// 240 V by their resistances, 144 Ω and 72 Ω, so 160 V and 80 V.
func TestOpenNeutralDivider(t *testing.T) {
	w := New(4) // neutral of the source, leg 1, leg 2, neutral of the lamps
	w.Source(1, 0, 120, 0)
	w.Source(2, 0, -120, 0)
	a := w.Branch(1, 3, 144)
	b := w.Branch(3, 2, 72)
	r := solve(t, w)
	near(t, 160, r.Across(a), exact)
	near(t, 80, r.Across(b), exact)
	near(t, -40, r.V(3), exact)
	near(t, 240.0/216, r.I(a), exact)
}

// Two sources in parallel share by their impedances: Millman's theorem.
func TestTwoSourcesInParallel(t *testing.T) {
	w := New(2)
	a := w.Source(1, 0, 13.2, 0.01)
	b := w.Source(1, 0, 13.0, 0.02)
	w.Branch(1, 0, 0.5)
	r := solve(t, w)
	v := (13.2/0.01 + 13.0/0.02) / (1/0.01 + 1/0.02 + 1/0.5)
	near(t, complex(v, 0), r.V(1), exact)
	near(t, complex(-(13.2-v)/0.01, 0), r.I(a), 1e-8) // a difference of two near voltages
	near(t, complex(-(13.0-v)/0.02, 0), r.I(b), 1e-8)
}

// Three drops in series at a constant current: Ohm's law thrice.
func TestThreeDropsInSeries(t *testing.T) {
	w := New(4)
	w.Source(1, 0, 12.8, 0.002)
	z := []complex128{0.010, 0.025}
	w.Branch(1, 2, z[0])
	w.Branch(2, 3, z[1])
	w.Current(3, 0, 40)
	r := solve(t, w)
	near(t, complex(12.8-40*0.002, 0), r.V(1), exact)
	near(t, complex(12.8-40*0.012, 0), r.V(2), exact)
	near(t, complex(12.8-40*0.037, 0), r.V(3), exact)
}

// The neutral carries the difference of opposite legs and the sum of legs in
// phase. 12 A at unity and 10 A at 0.8 lagging: |12 - (8 - 6j)| = √(16+36) =
// 7.211 A and |12 + (8 - 6j)| = √(400+36) = 20.881 A. Legs 120° apart: the law
// of cosines on the angle between the currents, 120° + acos 0.8.
func TestNeutralOfTwoLegs(t *testing.T) {
	cases := []struct {
		name    string
		degrees float64
		want    float64
	}{
		{"split phase", 180, math.Sqrt(4*4 + 6*6)},
		{"in phase", 0, math.Sqrt(20*20 + 6*6)},
		{"two legs of three phases", -120, math.Sqrt(144 + 100 + 240*math.Cos(120*math.Pi/180+math.Acos(0.8)))},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			w := New(4)
			leg2 := cmplx.Rect(120, c.degrees*math.Pi/180)
			w.Source(1, 0, 120, 0)
			w.Source(2, 0, leg2, 0)
			n := w.Branch(3, 0, 0)
			a := w.Branch(1, 3, 10)
			b := w.Branch(2, 3, cmplx.Rect(12, math.Acos(0.8)))
			r := solve(t, w)
			assert.InDelta(t, 12, abs(r.I(a)), 12*exact)
			assert.InDelta(t, 10, abs(r.I(b)), 10*exact)
			assert.InDelta(t, c.want, abs(r.I(n)), c.want*exact)
		})
	}
	assert.InDelta(t, 7.211, cases[0].want, 5e-4)
	assert.InDelta(t, 20.88, cases[1].want, 5e-3)
}

// In phase, the neutral carries the plain sum: 15 A and 12 A make 27 A.
func TestInPhaseNeutralSum(t *testing.T) {
	w := New(4)
	w.Source(1, 0, 120, 0)
	w.Source(2, 0, 120, 0)
	n := w.Branch(3, 0, 0)
	w.Branch(1, 3, 8)
	w.Branch(2, 3, 10)
	near(t, 27, solve(t, w).I(n), exact)
}

// A reference of one's own choice shifts every voltage of the island alike and
// changes no current.
func TestReference(t *testing.T) {
	build := func(prefer ...Node) *Result {
		w := New(4)
		w.Source(1, 0, 12, 0.1)
		w.Branch(1, 2, 1)
		w.Branch(2, 0, 2)
		for _, n := range prefer {
			w.Reference(n)
		}
		return solve(t, w)
	}
	plain, moved := build(), build(2, 0)
	assert.Equal(t, Node(0), plain.Reference(1))
	assert.Equal(t, Node(2), moved.Reference(1))
	assert.Zero(t, moved.V(2))
	assert.True(t, moved.Ground(2))
	assert.False(t, moved.Ground(0))
	for n := range Node(3) {
		near(t, plain.V(n)-plain.V(2), moved.V(n)-moved.V(2), exact)
	}
	for b := range Branch(3) {
		near(t, plain.I(b), moved.I(b), exact)
	}
}

// Islands are apart: one floats, one is dead, one is a lone node.
func TestIslands(t *testing.T) {
	w := New(8)
	w.Source(1, 0, 12, 0.1)
	w.Branch(1, 0, 2)
	w.Source(3, 2, 24, 0.1) // floats beside the first
	w.Branch(3, 2, 4)
	w.Branch(4, 5, 1) // no source
	w.Branch(6, 6, 0) // a short on itself
	r := solve(t, w)
	assert.Equal(t, []Island{{0, false, 2}, {2, false, 2}, {4, true, 2}, {6, true, 1}, {7, true, 1}}, r.Islands())
	assert.Zero(t, r.V(2))
	near(t, 24*4/4.1, r.V(3), exact)
	for n := Node(4); n < 8; n++ {
		assert.True(t, r.Dead(n))
		assert.Zero(t, r.V(n))
	}
	assert.Zero(t, r.I(4))
	assert.Zero(t, r.I(5))
	assert.False(t, r.Dead(3))
}

// What has no way back carries nothing and is named.
func TestIdle(t *testing.T) {
	w := New(6)
	w.Source(1, 0, 12, 0.1)
	across := w.Current(0, 2, 5) // into an island of its own
	w.Branch(2, 3, 1)
	dead := w.Power(4, 5, 100, 12)
	r := solve(t, w)
	assert.Equal(t, []Branch{across, dead}, r.Idle)
	assert.Zero(t, r.I(across))
	assert.Zero(t, r.I(dead))
	assert.True(t, r.Dead(2))
	assert.True(t, r.Dead(4))
}

// A current source alone makes an island live.
func TestCurrentSourceAlone(t *testing.T) {
	w := New(2)
	w.Current(0, 1, 5)
	w.Branch(1, 0, 2)
	r := solve(t, w)
	near(t, 10, r.V(1)-r.V(0), exact)
	assert.False(t, r.Dead(0))
}

func TestEmpty(t *testing.T) {
	r := solve(t, New(0))
	assert.Empty(t, r.Islands())
	r = solve(t, New(3))
	assert.Len(t, r.Islands(), 3)
	assert.Zero(t, r.V(2))
}

// A milliohm in series with a megohm costs no digits: elimination adds and never
// subtracts. The last node of a chain of a thousand sees the divider's voltage.
func TestStiffChainKeepsItsDigits(t *testing.T) {
	const n = 1000
	w := New(n + 1)
	w.Source(1, 0, 12, 1e-6)
	for k := 1; k < n; k++ {
		w.Branch(Node(k), Node(k+1), 1e-6)
	}
	b := w.Branch(n, 0, 1e6)
	f, err := w.Factor()
	require.NoError(t, err)
	r, err := f.Solve()
	require.NoError(t, err)
	// The microohms' own currents are differences of two voltages of 12 V, each
	// good to 2e-15 V: 2e-9 A, and so is the sum at their nodes.
	assert.Less(t, r.KCLWorst*noise, 4e-9)
	near(t, complex(12/(1e6+n*1e-6), 0), r.I(b), 1e-12)
}

func TestUnfit(t *testing.T) {
	cases := []struct {
		name  string
		build func(*Network)
		want  string
	}{
		{"node too high", func(w *Network) { w.Branch(0, 2, 1) }, "branch 0 has an end that is not a node of the network"},
		{"node below zero", func(w *Network) { w.Branch(-1, 0, 1) }, "branch 0 has an end that is not a node of the network"},
		{"impedance not a number", func(w *Network) { w.Branch(0, 1, cmplx.NaN()) }, "branch 0 has an impedance that is not a finite number"},
		{"EMF infinite", func(w *Network) { w.Source(1, 0, cmplx.Inf(), 1) }, "branch 0 has an EMF, a current or a power that is not a finite number"},
		{"rated below zero", func(w *Network) { w.Power(1, 0, 1, -12) }, "branch 0 has a rated voltage that is not zero or more"},
		{"impedance denormal", func(w *Network) { w.Branch(1, 0, 5e-324) }, "branch 0 has an impedance too small to tell from an ideal short: make it 0"},
		{"reference elsewhere", func(w *Network) { w.Reference(7) }, "the network has a reference that is not a node of the network"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			w := New(2)
			c.build(w)
			_, err := w.Factor()
			require.EqualError(t, err, c.want)
		})
	}
	w := New(2)
	w.Source(1, 0, 12, 1)
	p := w.Power(1, 0, 5, 12)
	f, err := w.Factor()
	require.NoError(t, err)
	w.SetPower(p, cmplx.NaN())
	_, err = f.Solve()
	require.Error(t, err)
}

// An inductance and a capacitance in resonance cancel: at node 1 the two
// admittances sum to nothing.
func TestResonanceIsReported(t *testing.T) {
	w := New(3)
	w.Source(2, 0, 12, 1i)
	w.Branch(1, 2, 1i)
	w.Branch(1, 2, -1i)
	_, err := w.Factor()
	var no *Singular
	require.ErrorAs(t, err, &no)
	assert.Equal(t, Node(1), no.Node)
}
