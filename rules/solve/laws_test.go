package solve

import (
	"fmt"
	"math/cmplx"
	"math/rand"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
	"rigline/rules/circuit"
	"rigline/rules/nodal/spice"
)

// Every sample in every state agrees with ngspice within 0.1 % (power loads as the
// impedances that they converged to).
func TestSamplesAgreeWithNgspice(t *testing.T) {
	program := spice.Available(t)
	compared := 0
	for _, sample := range projects.Samples() {
		doc := sample.Document()
		for _, st := range doc.Operating() {
			s := Solve(circuit.Build(doc, st))
			require.Nil(t, s.Failure, "%s, %s", sample.Name, st.Name)
			what := sample.Name + ", " + st.Name
			compared += agree(t, program, what+" AC", &s.ac, 1e-3)
			compared += agree(t, program, what+" DC", &s.dc, 1e-3)
		}
	}
	assert.Greater(t, compared, 1000)
}

// What sources give, loads and conductors take: every made-up rig balances its
// power and its currents.
func TestLawsOnMadeUpRigs(t *testing.T) {
	for seed := range int64(100) {
		s := Solve(randomRig(t, rand.New(rand.NewSource(1000+seed))))
		require.Nil(t, s.Failure, seed)
		assert.Less(t, s.Worst, 1e-6, seed)
		assert.Less(t, s.Balance, 1e-6, seed)
	}
}

// On a resistive network a further load never lowers the current of the source.
func TestAFurtherLoadNeverLowersTheCurrent(t *testing.T) {
	last := 0.0
	for n := 1; n <= 6; n++ {
		s := &sketch{t: t}
		s.part("SH1", &components.Shore, components.Spec{"service": str("30a-120")})
		var rows []components.Spec
		for range n {
			rows = append(rows, components.Spec{"breaker_a": num(20)})
		}
		s.part("PNL1", &components.Panel, components.Spec{"bus_a": num(50), "legs": num(1), "circuits": components.Table(rows...)})
		s.run("W1", "SH1.out", "PNL1.main", "10 AWG", 25)
		for k := range n {
			id := fmt.Sprintf("LD%d", k+1)
			s.part(id, &components.ACLoad, components.Spec{"va": num(float64(100 + 50*k)), "behaves": str("resistance")})
			s.run("W1"+id, fmt.Sprintf("PNL1.c%d", k+1), id+".in", "14 AWG", 10)
		}
		now := amps(t, solved(t, s.circuit(components.State{Name: "Shore", Shore: "30a-120"})), "W1", components.L)
		assert.Greater(t, now, last)
		last = now
	}
}

// Swapping the legs of a feeder's loads swaps its currents and nothing else.
func TestLegsAreOnlyNames(t *testing.T) {
	a := solved(t, twoLegs(t, "50a-120/240", 1500, 400, 1, 40))
	b := solved(t, twoLegs(t, "50a-120/240", 400, 1500, 1, 40))
	assert.InDelta(t, amps(t, a, "W1", components.L1), amps(t, b, "W1", components.L2), 1e-9)
	assert.InDelta(t, amps(t, a, "W1", components.L2), amps(t, b, "W1", components.L1), 1e-9)
	assert.InDelta(t, amps(t, a, "W1", components.N), amps(t, b, "W1", components.N), 1e-9)
}

// A lost leg leaves its loads dead and the other leg's alone; hot and neutral
// exchanged puts 120 V between the rig's neutral and ground.
func TestLostLegAndSwappedOutlet(t *testing.T) {
	o, err := WhatIf(twoLegs(t, "50a-120/240", 600, 900, 1, 10), circuit.OpenCore("W1", components.L2))
	require.NoError(t, err)
	for _, v := range o.Loads {
		if v.Load == "LD2" {
			assert.Less(t, v.After, 1.0)
		} else {
			assert.InDelta(t, 120, v.After, 1)
		}
	}
	s := &sketch{t: t}
	s.part("SH1", &components.Shore, components.Spec{"service": str("30a-120")})
	s.part("LD1", &components.ACLoad, components.Spec{"va": num(600)})
	s.run("W1", "SH1.out", "LD1.in", "10 AWG", 25)
	swapped, err := WhatIf(s.circuit(components.State{Name: "Shore", Shore: "30a-120"}), circuit.SwapHotNeutral("SH1"))
	require.NoError(t, err)
	n, _ := swapped.After.Circuit.At("LD1", "in", components.N)
	g, _ := swapped.After.Circuit.At("LD1", "in", components.G)
	v, ok := swapped.After.Between(n, g)
	require.True(t, ok)
	assert.InDelta(t, 119, cmplx.Abs(v), 1.5)
}
