package nodal_test

import (
	"fmt"
	"math"
	"math/cmplx"
	"math/rand"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/rules/nodal"
	"rigline/rules/nodal/spice"
)

// rig is a made-up network that looks like a vehicle's: a site, a panel, runs of
// three cores, loads.
type rig struct {
	*rand.Rand
	*nodal.Network
	nodes int
	power bool // loads of constant power among the impedances
}

func (r *rig) node() nodal.Node { r.nodes++; return nodal.Node(r.nodes - 1) }

// core is a conductor's impedance: 0.5 to 80 mΩ and a reactance below that.
func (r *rig) core(ac bool) complex128 {
	ohms := 0.0005 * math.Pow(160, r.Float64())
	if !ac {
		return complex(ohms, 0)
	}
	return complex(ohms, ohms*r.Float64()*0.8)
}

func (r *rig) load(a, b nodal.Node, volts float64, ac bool) {
	va := 20 * math.Pow(60, r.Float64())
	pf := 1.0
	if ac {
		pf = 0.6 + 0.4*r.Float64()
	}
	s := complex(va*pf, va*math.Sqrt(1-pf*pf))
	if ac && r.Intn(6) == 0 {
		s = cmplx.Conj(s) // leading
	}
	if r.power && r.Intn(3) > 0 {
		r.Power(a, b, s, volts)
		return
	}
	r.Branch(a, b, complex(volts*volts, 0)/cmplx.Conj(s))
}

// acRig is a service of two legs against a neutral, so many degrees apart, with
// sections of three cores and loads along them. An open neutral is the first
// section's.
func (r *rig) acRig(degrees float64, looped, openNeutral bool) {
	n0, l1, l2 := r.node(), r.node(), r.node()
	feed := func(plus nodal.Node, angle float64) {
		z := complex(0.005+0.05*r.Float64(), 0.05*r.Float64())
		if r.Intn(4) == 0 {
			z = 0 // ideal
		}
		r.Source(plus, n0, cmplx.Rect(120, angle*math.Pi/180), z)
	}
	feed(l1, 0)
	feed(l2, degrees)
	places := [][3]nodal.Node{{n0, l1, l2}}
	for k := range 3 + r.Intn(12) {
		from := places[r.Intn(len(places))]
		to := [3]nodal.Node{r.node(), r.node(), r.node()}
		for c := range to {
			switch {
			case c == 0 && openNeutral && k == 0:
				continue // the feeder's neutral is broken
			case r.Intn(8) == 0:
				r.Branch(from[c], to[c], 0) // a closed contact
			default:
				r.Branch(from[c], to[c], r.core(true))
			}
		}
		if openNeutral && k == 0 {
			places = places[:0] // everything hangs behind the break
			if degrees == 0 {   // legs alike drive nothing through each other's loads: earth is the way back
				r.Branch(to[0], n0, complex(1+24*r.Float64(), 0))
			}
		}
		places = append(places, to)
		for range r.Intn(3) {
			r.load(to[1+r.Intn(2)], to[0], 120, true)
		}
		if r.Intn(4) == 0 && degrees != 0 {
			r.load(to[1], to[2], 2*120*math.Sin(math.Abs(degrees)*math.Pi/360), true)
		}
	}
	end := places[len(places)-1]
	r.load(end[1], end[0], 120, true)
	r.load(end[2], end[0], 120, true)
	if looped {
		for range 1 + r.Intn(4) {
			a, b := places[r.Intn(len(places))], places[r.Intn(len(places))]
			for c := range a {
				r.Branch(a[c], b[c], r.core(true))
			}
		}
	}
	r.Reference(n0)
}

// dcRig is a bank of strings on a bus, with loads along branches.
func (r *rig) dcRig(looped bool) {
	minus, bus := r.node(), r.node()
	for range 1 + r.Intn(4) {
		post := r.node()
		r.Source(post, minus, complex(12.6+r.Float64(), 0), complex(0.001+0.01*r.Float64(), 0))
		r.Branch(post, bus, r.core(false))
	}
	places := [][2]nodal.Node{{minus, bus}}
	for range 3 + r.Intn(12) {
		from := places[r.Intn(len(places))]
		to := [2]nodal.Node{r.node(), r.node()}
		for c := range to {
			r.Branch(from[c], to[c], r.core(false))
		}
		places = append(places, to)
		if r.Intn(3) == 0 {
			r.Current(to[1], to[0], complex(5*r.Float64(), 0))
		} else {
			r.load(to[1], to[0], 12, false)
		}
	}
	if looped {
		a, b := places[r.Intn(len(places))], places[len(places)-1]
		r.Branch(a[0], b[0], r.core(false))
		r.Branch(a[1], b[1], r.core(false))
	}
}

var shapes = []struct {
	name          string
	degrees       float64
	looped, broke bool
	dc            bool
}{
	{name: "split phase, radial", degrees: 180},
	{name: "split phase, looped", degrees: 180, looped: true},
	{name: "in phase, radial", degrees: 0},
	{name: "in phase, looped", degrees: 0, looped: true},
	{name: "120 degrees, radial", degrees: -120},
	{name: "120 degrees, looped", degrees: -120, looped: true},
	{name: "open neutral, split phase", degrees: 180, broke: true},
	{name: "open neutral, in phase", degrees: 0, broke: true},
	{name: "open neutral, 120 degrees", degrees: -120, broke: true},
	{name: "DC, radial", dc: true},
	{name: "DC, looped", dc: true, looped: true},
}

// Made-up rigs of every shape agree with ngspice on every node voltage and every
// branch current: within 0.01 % where they are linear, 0.1 % with power loads,
// which stand in the deck as the impedances that they converged to. A voltage is
// held against the largest voltage, a current against itself or a thousandth of
// the largest current, whichever is more.
func TestAgreesWithNgspice(t *testing.T) {
	program := spice.Available(t)
	each := 8
	if testing.Short() {
		each = 2
	}
	compared, nets := 0, 0
	worst := map[bool]float64{}
	for _, shape := range shapes {
		for _, power := range []bool{false, true} {
			within := map[bool]float64{false: 1e-4, true: 1e-3}[power]
			for seed := range each {
				what := fmt.Sprintf("%s, power loads %t, seed %d", shape.name, power, seed)
				r := &rig{Rand: rand.New(rand.NewSource(int64(seed))), Network: nodal.New(200), power: power}
				if shape.dc {
					r.dcRig(shape.looped)
				} else {
					r.acRig(shape.degrees, shape.looped, shape.broke)
				}
				f, err := r.Factor()
				require.NoError(t, err, what)
				res, err := f.Solve()
				require.NoError(t, err, what)
				deck, alias := spice.Deck(res, 200)
				if shape.dc {
					deck, alias = spice.Direct(res, 200)
				}
				a := spice.Run(t, program, deck)
				off, count := differ(t, what, res, a, alias, r.nodes, within)
				worst[power] = math.Max(worst[power], off)
				compared += count
				nets++
			}
		}
	}
	t.Logf("%d networks, %d voltages and currents; worst difference %.2g linear, %.2g with power loads", nets, compared, worst[false], worst[true])
	if !testing.Short() {
		assert.GreaterOrEqual(t, nets, 100)
	}
	assert.Greater(t, compared, 20*nets)
}

// differ holds a result to ngspice's answer, and every node and branch that
// should be in the answer to being there.
func differ(t *testing.T, what string, r *nodal.Result, a spice.Answer, alias func(int) int, nodes int, within float64) (worst float64, count int) {
	t.Helper()
	mostV, mostI := 0.0, 0.0
	for _, v := range a.V {
		mostV = math.Max(mostV, cmplx.Abs(v))
	}
	for _, i := range a.I {
		mostI = math.Max(mostI, cmplx.Abs(i))
	}
	assert.Greater(t, mostI, 0.1, "%s: nothing flows that could be compared", what)
	for n := range nodes {
		x := nodal.Node(n)
		v, ok := a.V[alias(n)]
		if !ok {
			zero := r.Dead(x) || alias(n) == alias(int(r.Reference(x)))
			assert.True(t, zero, "%s: node %d is not in the answer", what, n)
		}
		off := cmplx.Abs(v-r.V(x)) / mostV
		worst = math.Max(worst, off)
		assert.LessOrEqual(t, off, within, "%s: node %d: ngspice %v, here %v", what, n, v, r.V(x))
		count++
	}
	for _, e := range r.Elements() {
		if e.Driven || e.Z == 0 && !e.Source {
			continue
		}
		i, ok := a.I[int(e.Branch)]
		assert.True(t, ok, "%s: branch %d is not in the answer", what, e.Branch)
		off := cmplx.Abs(i-r.I(e.Branch)) / math.Max(cmplx.Abs(i), mostI/1000)
		worst = math.Max(worst, off)
		assert.LessOrEqual(t, off, within, "%s: branch %d: ngspice %v, here %v", what, e.Branch, i, r.I(e.Branch))
		count++
	}
	return worst, count
}

// Feeders of three sizes, whose laterals leave one point, agree with ngspice
// within 0.01 %.
func TestFeedersAgreeWithNgspice(t *testing.T) {
	program := spice.Available(t)
	for _, n := range []int{10, 50, 100} {
		f := feeder{loads: n, lateral: 20}
		r := f.solve(t)
		deck, alias := spice.Deck(r, f.nodes())
		a := spice.Run(t, program, deck)
		_, count := differ(t, fmt.Sprintf("%d loads", n), r, a, alias, f.nodes(), 1e-4)
		assert.Greater(t, count, 6*n)
	}
}

// A feeder of 100,000 loads takes under 400 MB and grows with its loads: at most
// thirteen times the memory for ten times the loads.
func TestMemoryGrowsWithTheLoads(t *testing.T) {
	if testing.Short() {
		t.Skip("allocates some hundred megabytes")
	}
	taken := func(n int, power bool) float64 {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		feeder{loads: n, power: power}.solve(t)
		runtime.ReadMemStats(&after)
		return float64(after.TotalAlloc - before.TotalAlloc)
	}
	for _, power := range []bool{false, true} {
		small, big := taken(10_000, power), taken(100_000, power)
		assert.Less(t, big, 400e6)
		assert.Less(t, big, 13*small)
		t.Logf("power loads %t: %.0f MB in all, %.1f times that of a tenth of the loads", power, big/1e6, big/small)
	}
}
