package nodal_test

import (
	"fmt"
	"math/cmplx"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/rules/nodal"
	"rigline/rules/nodal/spice"
)

// feeder is a radial three-wire feeder with n resistive-inductive loads of 120 V:
// laterals of twenty loads off the source, a load on either leg in turn at every
// section.
func feeder(n int) *nodal.Network {
	const lateral = 20
	w := nodal.New(3 + 3*n)
	w.Source(1, 0, 120, 0.02)
	w.Source(2, 0, -120, 0.02)
	var last [3]nodal.Node
	next := nodal.Node(3)
	for k := range n {
		if k%lateral == 0 {
			last = [3]nodal.Node{0, 1, 2}
		}
		for c := range last {
			w.Branch(last[c], next, complex(0.01, 0.001))
			last[c] = next
			next++
		}
		w.Branch(last[1+k%2], last[0], complex(1.44*float64(n), 10))
	}
	return w
}

func solveFeeder(t testing.TB, n int) *nodal.Result {
	f, err := feeder(n).Factor()
	require.NoError(t, err)
	r, err := f.Solve()
	require.NoError(t, err)
	return r
}

// The far ends of feeders of three sizes agree with ngspice within 0.01 %.
func TestFeedersAgreeWithNgspice(t *testing.T) {
	program := spice.Available(t)
	for _, n := range []int{10, 50, 100} {
		r := solveFeeder(t, n)
		deck, alias := spice.Deck(r, 3+3*n)
		a := spice.Run(t, program, deck)
		compared := 0
		for k := range 3 + 3*n {
			if v, ok := a.V[alias(k)]; ok {
				assert.InDelta(t, 0, cmplx.Abs(v-r.V(nodal.Node(k))), 120*1e-4, "%d loads, node %d", n, k)
				compared++
			}
		}
		assert.Greater(t, compared, n)
	}
}

// lean is a deck without ammeters, as a person would write it.
func lean(r *nodal.Result) string {
	var d strings.Builder
	d.WriteString("* feeder\n")
	for _, e := range r.Elements() {
		k, b := int(e.Branch), fmt.Sprint(e.B)
		if e.Source {
			fmt.Fprintf(&d, "V%d e%d %s AC %g 0\nR%d e%d %d %g\n", k, k, b, real(e.EMF), k, k, e.A, real(e.Z))
			continue
		}
		fmt.Fprintf(&d, "R%d %d x%d %g\nL%d x%d %s %g\n", k, e.A, k, real(e.Z), k, k, b, imag(e.Z)/377)
	}
	return d.String() + ".ac lin 1 60 60\n.end\n"
}

// BenchmarkAgainstNgspice prints, for feeders of four sizes, the time of one 60 Hz
// solution here (factored and solved) beside ngspice's own figure for its
// analysis in the same run, and the memory that the solution takes.
func BenchmarkAgainstNgspice(b *testing.B) {
	program := spice.Available(b)
	for _, n := range []int{100, 1000, 10000, 100000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			var before, after runtime.MemStats
			runtime.GC()
			runtime.ReadMemStats(&before)
			r := solveFeeder(b, n)
			runtime.ReadMemStats(&after)
			b.ReportMetric(float64(after.TotalAlloc-before.TotalAlloc)/1e6, "MB-allocated")
			start, rounds := time.Now(), 0
			for b.Loop() {
				solveFeeder(b, n)
				rounds++
			}
			ours := time.Since(start).Seconds() / float64(rounds)
			if n > 10000 {
				return // more than a minute of ngspice 39
			}
			theirs := spice.Seconds(b, program, lean(r))
			b.ReportMetric(theirs*1e3, "ngspice-ms")
			if ours > 0 && theirs > 0 {
				b.ReportMetric(theirs/ours, "times-faster")
			}
		})
	}
}
