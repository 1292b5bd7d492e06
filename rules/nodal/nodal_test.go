package nodal

import (
	"math"
	"math/cmplx"
	"math/rand"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const exact = 1e-9

func solve(t *testing.T, w *Network) *Result {
	t.Helper()
	f, err := w.Factor()
	require.NoError(t, err)
	r, err := f.Solve()
	require.NoError(t, err)
	assert.Less(t, r.KCLWorst, 1e-6)
	assert.Less(t, r.Imbalance, 1e-6)
	return r
}

// Open neutral, 100 W and 200 W lamps on 120 V legs: 160 V and 80 V (voltage
// divider, the training example of the lost neutral).
func TestOpenNeutralDivider(t *testing.T) {
	w := New(4) // 0 neutral of the source, 1 leg 1, 2 leg 2, 3 neutral of the lamps
	const stiff = 1e-5
	w.Source(1, 0, 120, stiff)
	w.Source(2, 0, -120, stiff)
	w.Branch(1, 3, 144)
	w.Branch(3, 2, 72)
	r := solve(t, w)
	i := 240 / (144 + 72 + 2*stiff)
	assert.InDelta(t, i*144, cmplx.Abs(r.V(1)-r.V(3)), 160*exact)
	assert.InDelta(t, i*72, cmplx.Abs(r.V(3)-r.V(2)), 80*exact)
	assert.InDelta(t, 160, i*144, 1e-4)
}

// Two sources in parallel share by their impedances: Millman.
func TestTwoSourcesInParallel(t *testing.T) {
	w := New(2)
	a := w.Source(1, 0, 13.2, 0.01)
	b := w.Source(1, 0, 13.0, 0.02)
	w.Branch(1, 0, 0.5)
	r := solve(t, w)
	v := (13.2/0.01 + 13.0/0.02) / (1/0.01 + 1/0.02 + 1/0.5)
	assert.InDelta(t, v, real(r.V(1)), v*exact)
	assert.InDelta(t, -(13.2-v)/0.01, real(r.I(a)), 1e-6)
	assert.InDelta(t, -(13.0-v)/0.02, real(r.I(b)), 1e-6)
}

// The neutral carries the difference of opposite legs and the sum of legs in
// phase: 12 A at unity and 10 A at 0.8 lagging give 7.211 A and 20.88 A.
func TestNeutralOfTwoLegs(t *testing.T) {
	for sign, want := range map[float64]float64{-1: 7.2111, 1: 20.8806} {
		w := New(4)
		w.Source(1, 0, 120, 1e-5)
		w.Source(2, 0, complex(sign*120, 0), 1e-5)
		n := w.Branch(3, 0, 1e-5)
		w.Branch(1, 3, 10)
		w.Branch(2, 3, complex(12*0.8, 12*0.6))
		r := solve(t, w)
		assert.InDelta(t, want, cmplx.Abs(r.I(n)), 1e-3)
	}
}

// Power loads against the quadratic: V = (E + √(E² − 4RP))/2.
func TestPowerLoad(t *testing.T) {
	w := New(2)
	w.Source(1, 0, 12.8, 0.01)
	w.Power(1, 0, 2000, 12)
	r := solve(t, w)
	v := (12.8 + math.Sqrt(12.8*12.8-4*0.01*2000)) / 2
	assert.InDelta(t, v, real(r.V(1)), 1e-6)
}

// A load that the source cannot carry becomes the impedance it has at 70 %.
func TestCollapse(t *testing.T) {
	w := New(2)
	w.Source(1, 0, 12.8, 0.05)
	b := w.Power(1, 0, 3000, 12)
	f, err := w.Factor()
	require.NoError(t, err)
	r, err := f.Solve()
	require.NoError(t, err)
	assert.Equal(t, []Branch{b}, r.Collapsing)
	z := 8.4 * 8.4 / 3000.0
	assert.InDelta(t, 12.8*z/(z+0.05), real(r.V(1)), 1e-6)
}

func TestShorts(t *testing.T) {
	w := New(5)
	w.Source(1, 0, 12, 1)
	a := w.Branch(1, 2, 0)
	b := w.Branch(2, 3, 0)
	loop := w.Branch(1, 3, 0)
	w.Branch(3, 0, 5)
	w.Branch(4, 4, 0)
	r := solve(t, w)
	assert.InDelta(t, 2, real(r.I(a))+real(r.I(loop)), exact)
	assert.InDelta(t, real(r.I(a)), real(r.I(b)), exact)
	assert.True(t, r.Dead(4))
	assert.Zero(t, r.V(4))
}

func TestTheveninOfADivider(t *testing.T) {
	w := New(3)
	w.Source(1, 0, 12, 0.5)
	w.Branch(1, 2, 1.5)
	w.Branch(2, 0, 6)
	f, err := w.Factor()
	require.NoError(t, err)
	z, ok := f.Thevenin(2, 0)
	require.True(t, ok)
	assert.InDelta(t, 1.5, real(z), exact) // 2 ∥ 6
}

// Made-up meshes obey Kirchhoff's law and balance their power, and a branch
// added in another order changes nothing.
func TestLaws(t *testing.T) {
	for seed := range int64(200) {
		rng := rand.New(rand.NewSource(seed))
		n := 3 + rng.Intn(40)
		w, u := New(n), New(n)
		type br struct {
			a, b Node
			z    complex128
		}
		var all []br
		for k := 1; k < n; k++ {
			all = append(all, br{Node(rng.Intn(k)), Node(k), complex(rng.Float64()+0.01, rng.Float64()*0.2)})
		}
		for range rng.Intn(n) {
			all = append(all, br{Node(rng.Intn(n)), Node(rng.Intn(n)), complex(rng.Float64()+0.01, 0)})
		}
		for _, x := range all {
			w.Branch(x.a, x.b, x.z)
		}
		for k := range all {
			x := all[len(all)-1-k]
			u.Branch(x.a, x.b, x.z)
		}
		for _, net := range []*Network{w, u} {
			net.Source(1, 0, 120, complex(0.02, 0))
			net.Source(2, 0, -120, complex(0.02, 0.01))
			net.Power(2, 0, complex(200, 50), 120)
		}
		r, q := solve(t, w), solve(t, u)
		for k := range n {
			assert.InDelta(t, 0, cmplx.Abs(r.V(Node(k))-q.V(Node(k))), 1e-5, "seed %d node %d", seed, k)
		}
	}
}

// feeder is a radial three-wire feeder with n loads of 120 V.
func feeder(n int) *Network {
	w := New(3 + 3*(n/2+1))
	w.Source(1, 0, 120, 0.02)
	w.Source(2, 0, -120, 0.02)
	last := [3]Node{0, 1, 2}
	next := Node(3)
	for k := range n {
		if k%2 == 0 {
			for c := range last {
				w.Branch(last[c], next, complex(0.01/float64(n), 0.001/float64(n)))
				last[c] = next
				next++
			}
		}
		w.Branch(last[1+k%2], last[0], complex(144*float64(n)/100, 10))
	}
	return w
}

func BenchmarkFeeder(b *testing.B) {
	for _, n := range []int{100, 1000, 10000, 100000} {
		b.Run(map[int]string{100: "100", 1000: "1k", 10000: "10k", 100000: "100k"}[n], func(b *testing.B) {
			w := feeder(n)
			b.ReportAllocs()
			for b.Loop() {
				f, err := w.Factor()
				if err != nil {
					b.Fatal(err)
				}
				if _, err := f.Solve(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
