package nodal_test

import (
	"fmt"
	"math"
	"math/rand"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rigline/rules/nodal"
	"rigline/rules/nodal/spice"
)

// feeder is a radial three-wire feeder with n loads, each on a section of three
// cores of its own, on either leg by turns and every third across both.
type feeder struct {
	loads     int
	lateral   int  // loads on a lateral off the source; 0 puts all on one trunk
	resistive bool // no reactance
	power     bool // loads of constant power
}

func (f feeder) nodes() int { return 3 + 3*f.loads }

func (f feeder) network() *nodal.Network {
	w := nodal.New(f.nodes())
	w.Grow(2 + 4*f.loads)
	w.Source(1, 0, 120, 0.02)
	w.Source(2, 0, -120, 0.02)
	n := float64(f.loads)
	core, load := complex(0.01, 0.001), complex(1.44*n, 0.5*n)
	if f.lateral == 0 {
		core /= complex(n/20, 0)
	}
	if f.resistive {
		core, load = complex(real(core), 0), complex(real(load), 0)
	}
	last := nodal.Node(0)
	for k := range f.loads {
		if f.lateral > 0 && k%f.lateral == 0 {
			last = 0
		}
		at := nodal.Node(3 + 3*k)
		for c := range nodal.Node(3) {
			w.Branch(last+c, at+c, core)
		}
		last = at
		a, b, v := at+1+nodal.Node(k%2), at, 120.0
		if k%3 == 2 {
			a, b, v = at+1, at+2, 240
		}
		if f.power {
			w.Power(a, b, complex(6000/n, 2000/n), v)
		} else {
			w.Branch(a, b, load)
		}
	}
	return w
}

func (f feeder) solve(t testing.TB) *nodal.Result {
	factored, err := f.network().Factor()
	require.NoError(t, err)
	r, err := factored.Solve()
	require.NoError(t, err)
	return r
}

var sizes = []int{100, 1000, 10_000, 100_000}

// BenchmarkFeeder is the time and the memory to build, factor and solve feeders
// of impedances and of power loads, all on one trunk.
func BenchmarkFeeder(b *testing.B) {
	for _, power := range []bool{false, true} {
		for _, n := range sizes {
			b.Run(fmt.Sprintf("%s/%d", map[bool]string{false: "impedances", true: "power"}[power], n), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					feeder{loads: n, power: power}.solve(b)
				}
			})
		}
	}
}

// BenchmarkAgain is a question to a network that is factored already.
func BenchmarkAgain(b *testing.B) {
	for _, n := range sizes[:3] {
		w := feeder{loads: n}.network()
		f, err := w.Factor()
		require.NoError(b, err)
		rng := rand.New(rand.NewSource(1))
		some := func() nodal.Branch { return nodal.Branch(2 + rng.Intn(f.Branches()-2)) }
		b.Run(fmt.Sprintf("solve/%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				_, err := f.Solve()
				require.NoError(b, err)
			}
		})
		b.Run(fmt.Sprintf("replace/%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				_, err := f.With(nodal.Replace(some(), 0.3)).Solve()
				require.NoError(b, err)
			}
		})
		b.Run(fmt.Sprintf("open/%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				_, err := f.With(nodal.Open(some())).Solve()
				require.NoError(b, err)
			}
		})
		b.Run(fmt.Sprintf("thevenin/%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				_, ok := f.Thevenin(nodal.Node(3*(n/2)), nodal.Node(3*(n/2)+1))
				require.True(b, ok)
			}
		})
	}
}

// BenchmarkAgainstNgspice prints one 60 Hz solution here (built, factored and
// solved) beside ngspice's own figure for its analysis alone, in the same run.
// Laterals with reactance are the shape it is asked for; a trunk of resistances
// is the one that ngspice 39 is quickest at (with reactance it takes more than a
// minute from 1,000 loads on).
func BenchmarkAgainstNgspice(b *testing.B) {
	program := spice.Available(b)
	for name, f := range map[string]feeder{"laterals": {lateral: 20}, "trunk": {resistive: true}} {
		for _, n := range sizes[:3] {
			b.Run(fmt.Sprintf("%s/%d", name, n), func(b *testing.B) {
				f.loads = n
				theirs := spice.Seconds(b, program, lean(f.solve(b)))
				for b.Loop() {
					f.solve(b)
				}
				ours := b.Elapsed().Seconds() / float64(b.N)
				b.ReportMetric(theirs*1e3, "ngspice-ms")
				b.ReportMetric(theirs/ours, "times-faster")
			})
		}
	}
}

// lean is a deck without ammeters, as a person would write it.
func lean(r *nodal.Result) string {
	var d strings.Builder
	d.WriteString("* feeder\n")
	for _, e := range r.Elements() {
		k, a, b := int(e.Branch), fmt.Sprint(e.A), fmt.Sprint(e.B)
		if e.Source {
			fmt.Fprintf(&d, "V%d e%d %s AC %g 0\n", k, k, b, real(e.EMF))
			b = fmt.Sprintf("e%d", k)
		}
		if x := imag(e.Z); x != 0 {
			fmt.Fprintf(&d, "L%d x%d %s %g\n", k, k, b, x/(2*math.Pi*60))
			b = fmt.Sprintf("x%d", k)
		}
		fmt.Fprintf(&d, "R%d %s %s %g\n", k, a, b, real(e.Z))
	}
	return d.String() + ".ac lin 1 60 60\n.end\n"
}
