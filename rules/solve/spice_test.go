package solve

import (
	"fmt"
	"math"
	"math/cmplx"
	"math/rand"
	"testing"

	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/rules/circuit"
	"rigline/rules/nodal"
	"rigline/rules/nodal/spice"
)

// agree holds every node voltage and branch current of a network to ngspice's,
// within a part of the largest of each.
func agree(t *testing.T, program, what string, n *side, within float64) (compared int) {
	t.Helper()
	if n.res == nil || len(n.res.Elements()) == 0 {
		return 0
	}
	deck, alias := spice.Deck(n.res, len(n.nodes))
	a := spice.Run(t, program, deck)
	largestV, largestI := 0.0, 0.0
	for _, v := range a.V {
		largestV = math.Max(largestV, cmplx.Abs(v))
	}
	for _, i := range a.I {
		largestI = math.Max(largestI, cmplx.Abs(i))
	}
	if largestI < 1e-3 {
		return 0
	}
	for k := range len(n.nodes) {
		v, ok := a.V[alias(k)]
		if !ok {
			continue // a reference, or dead
		}
		if d := cmplx.Abs(v - n.res.V(nodal.Node(k))); d > within*largestV {
			t.Errorf("%s: node %d: ngspice %v, here %v", what, k, v, n.res.V(nodal.Node(k)))
		}
		compared++
	}
	for k, i := range a.I {
		if d := cmplx.Abs(i - n.res.I(nodal.Branch(k))); d > within*largestI {
			t.Errorf("%s: branch %d: ngspice %v, here %v", what, k, i, n.res.I(nodal.Branch(k)))
		}
		compared++
	}
	return compared
}

// randomRig makes up a rig: a site of any service, a panel with a sub-panel,
// loads of both behaviours, a bank of several strings, an inverter/charger, DC
// loads, a loop of grounds.
func randomRig(t *testing.T, rng *rand.Rand) *circuit.Circuit {
	s := &sketch{t: t}
	sizes := []string{"14 AWG", "12 AWG", "10 AWG", "8 AWG", "6 AWG"}
	thick := []string{"2 AWG", "1/0 AWG", "2/0 AWG", "4/0 AWG"}
	feet := func() float64 { return 1 + 30*rng.Float64() }
	services := []string{"50a-120/240", "50a-120/208", "30a-120-adapter", "15a-120-adapter", ""}
	service := services[rng.Intn(len(services))]
	s.part("SH1", &components.Shore, components.Spec{"service": str("50a-120/240"), "available_fault_a": num(500 + 9000*rng.Float64())})
	var rows []components.Spec
	loads := 2 + rng.Intn(8)
	for k := range loads {
		rows = append(rows, components.Spec{"leg": str([]string{"L1", "L2"}[k%2]), "breaker_a": num(20)})
	}
	rows = append(rows, components.Spec{"leg": str("L1"), "breaker_a": num(30)}, components.Spec{"leg": str("both"), "breaker_a": num(30)})
	s.part("PNL1", &components.Panel, components.Spec{"bus_a": num(100), "main_a": num(50), "circuits": components.Table(rows...)})
	s.run("W1", "SH1.out", "PNL1.main", "6 AWG", feet())
	load := func(id, from string, hots float64) {
		spec := components.Spec{"va": num(50 + 900*rng.Float64()), "pf": num(0.7 + 0.3*rng.Float64()), "hots": num(hots)}
		if rng.Intn(2) == 0 {
			spec["behaves"] = str("resistance")
		}
		s.part(id, &components.ACLoad, spec)
		s.run("W"+id, from, id+".in", sizes[rng.Intn(3)], feet())
	}
	for k := range loads {
		load(fmt.Sprintf("LD%d", k+1), fmt.Sprintf("PNL1.c%d", k+1), 1)
	}
	load("LD99", fmt.Sprintf("PNL1.c%d", loads+2), 2)
	s.part("INV1", &components.InverterCharger, components.Spec{"continuous_va": num(3000), "dc_v": num(12.8), "relay_a": num(30), "charge_a": num(20 + 60*rng.Float64()), "idle_w": num(20)})
	s.part("PNL2", &components.Panel, components.Spec{"bus_a": num(30), "legs": num(1), "circuits": components.Table(components.Spec{"breaker_a": num(20)}, components.Spec{"breaker_a": num(20)})})
	s.run("W2", fmt.Sprintf("PNL1.c%d", loads+1), "INV1.ac-in", "10 AWG", feet())
	s.run("W3", "INV1.ac-out", "PNL2.main", "10 AWG", feet())
	load("LD51", "PNL2.c1", 1)
	load("LD52", "PNL2.c2", 1)
	s.part("CH1", &components.Chassis, nil)
	s.run("W4", "PNL1.main", "CH1.stud", "8 AWG", feet(), "G")
	s.run("W5", "INV1.case", "CH1.stud", "6 AWG", feet(), "G") // grounds make a loop
	s.part("BUS1", &components.Busbar, components.Spec{"rating_a": num(400)})
	s.part("BUS2", &components.Busbar, components.Spec{"rating_a": num(400), "pole": str("-")})
	for k := range 1 + rng.Intn(4) {
		id := fmt.Sprintf("BAT%d", k+1)
		s.part(id, &components.Battery, components.Spec{"chemistry": str("lfp"), "nominal_v": num(12.8), "capacity_ah": num(100 + 100*rng.Float64())})
		s.run("WP"+id, id+".pos", "BUS1.bar", thick[rng.Intn(4)], 0.5+2*rng.Float64())
		s.run("WN"+id, id+".neg", "BUS2.bar", thick[rng.Intn(4)], 0.5+2*rng.Float64())
	}
	s.run("W6", "BUS1.bar", "INV1.dc", "2/0 AWG", 1+4*rng.Float64())
	s.run("W7", "BUS2.bar", "INV1.dc", "2/0 AWG", 1+4*rng.Float64())
	s.part("DL1", &components.DCLoad, components.Spec{"a": num(20 * rng.Float64())})
	s.run("W8", "BUS1.bar", "DL1.in", "12 AWG", feet(), "+")
	s.run("W9", "BUS2.bar", "DL1.in", "12 AWG", feet(), "-")
	s.part("BJ1", &components.BondKind, nil)
	s.run("W10", "BUS2.bar", "BJ1.a", "2/0 AWG", 1)
	s.run("W11", "BJ1.b", "CH1.stud", "2/0 AWG", 1)
	return s.circuit(components.State{Name: "made up", Shore: service, SoC: rng.Float64()*0.8 + 0.1})
}

// 300 made-up rigs agree with ngspice on every node voltage and branch current:
// 0.1 % with power loads as their converged impedances, 0.01 % for the rigs with
// an open neutral, whose loads are impedances.
func TestAgreesWithNgspice(t *testing.T) {
	program := spice.Available(t)
	n := 300
	if testing.Short() {
		n = 30
	}
	compared := 0
	for seed := range n {
		rng := rand.New(rand.NewSource(int64(seed)))
		c := randomRig(t, rng)
		within := 1e-3
		var s *Solution
		if seed%5 == 4 {
			open, err := c.After(circuit.OpenCore("W1", components.N))
			require.NoError(t, err)
			s = SolveWith(open, Options{LoadsAsImpedance: true})
			within = 1e-4
		} else {
			s = Solve(c)
		}
		if s.Failure != nil {
			t.Errorf("rig %d: %s", seed, s.Failure.Reason)
			continue
		}
		compared += agree(t, program, fmt.Sprintf("rig %d AC", seed), &s.ac, within)
		compared += agree(t, program, fmt.Sprintf("rig %d DC", seed), &s.dc, within)
	}
	t.Logf("%d rigs, %d voltages and currents compared", n, compared)
	require.Greater(t, compared, 50*n)
}
