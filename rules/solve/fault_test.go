package solve

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
	"rigline/rules/circuit"
)

// What the sources give adds up to the whole at every port of every sample, and
// a leg against a leg is one source's whole.
func TestContributionsAddUp(t *testing.T) {
	several := 0
	for _, sample := range projects.Samples() {
		doc := sample.Document()
		for _, s := range States(circuit.Lay(doc), doc.Operating()) {
			for ref, byPair := range s.Faults() {
				for pair, r := range byPair {
					sum := 0.0
					from := s.Contributions(r.Between[0], r.Between[1])
					for _, c := range from {
						sum += c.Amps
					}
					if len(from) == 0 {
						amps, unknown := s.InverterFault(r.Between[0])
						assert.Equal(t, r.Highest, amps, "%s %s %s", sample.Name, ref, pair)
						assert.Empty(t, unknown)
						continue
					}
					several += len(from) - 1
					assert.InEpsilon(t, r.Highest, sum, 0.02, "%s %s %s %s", sample.Name, s.Circuit.State.Name, ref, pair)
				}
			}
		}
	}
	assert.Positive(t, several, "some shorts are fed by more than one source")
}

// Two unequal banks on one bar give by their resistances: 2.0 mΩ and 1.0 mΩ at
// 13.6 V, 6.8 kA and 13.6 kA.
func TestContributionsOfTwoBanks(t *testing.T) {
	s := &sketch{t: t}
	s.part("BAT1", &components.Battery, components.Spec{"chemistry": str("lfp"), "nominal_v": num(12.8), "capacity_ah": num(100), "internal_mohm": num(2)})
	s.part("BAT2", &components.Battery, components.Spec{"chemistry": str("lfp"), "nominal_v": num(12.8), "capacity_ah": num(200), "internal_mohm": num(1)})
	s.part("BUS1", &components.Busbar, components.Spec{"rating_a": num(400)})
	s.run("W1", "BAT1.pos", "BUS1.bar", "4/0 AWG", 0)
	s.run("W2", "BAT2.pos", "BUS1.bar", "4/0 AWG", 0)
	s.run("W3", "BAT1.neg", "BAT2.neg", "4/0 AWG", 0)
	sol := solved(t, s.circuit(components.State{Name: "Off grid", SoC: 0.5}))
	bar, _ := sol.Circuit.At("BUS1", "bar", components.Pos)
	neg, _ := sol.Circuit.At("BAT1", "neg", components.Neg)
	from := sol.Contributions(bar, neg)
	require.Len(t, from, 2)
	assert.Equal(t, components.ID("BAT2"), from[0].Part)
	assert.InEpsilon(t, 13600, from[0].Amps, 0.001)
	assert.InEpsilon(t, 6800, from[1].Amps, 0.001)
}

// An inverter's own limit is the fault current on its output.
func TestInverterFault(t *testing.T) {
	for _, told := range []bool{true, false} {
		s := &sketch{t: t}
		spec := components.Spec{"continuous_va": num(3000), "dc_v": num(12)}
		if told {
			spec["fault_a"] = num(60)
		}
		s.part("BAT1", &components.Battery, components.Spec{"chemistry": str("lfp"), "nominal_v": num(12.8), "capacity_ah": num(400)})
		s.part("INV1", &components.Inverter, spec)
		s.run("W1", "BAT1.pos", "INV1.dc", "4/0 AWG", 3)
		s.run("W2", "BAT1.neg", "INV1.dc", "4/0 AWG", 3)
		sol := solved(t, s.circuit(components.State{Name: "Off grid", SoC: 0.5}))
		r, found := sol.Faults()[components.PortRef{Part: "INV1", Port: "ac-out"}]["L-N"]
		assert.Equal(t, told, found, "an unknown limit is no figure")
		if told {
			assert.Equal(t, 60.0, r.Highest)
			assert.Equal(t, 60.0, r.Lowest)
		}
	}
}

// A string that drops out takes its share with it, and its resistance.
func TestLoseString(t *testing.T) {
	s := &sketch{t: t}
	s.part("BAT1", &components.Battery, components.Spec{"chemistry": str("lfp"), "nominal_v": num(12.8), "capacity_ah": num(100), "parallel": num(2), "discharge_a": num(100)})
	s.part("DL1", &components.DCLoad, components.Spec{"a": num(150)})
	s.run("W1", "BAT1.pos", "DL1.in", "2/0 AWG", 3, "+")
	s.run("W2", "BAT1.neg", "DL1.in", "2/0 AWG", 3, "-")
	c := s.circuit(components.State{Name: "Off grid", SoC: 0.5})
	o, err := WhatIf(c, circuit.LoseString("BAT1"))
	require.NoError(t, err)
	require.Len(t, o.Banks, 1)
	assert.Equal(t, 100.0, o.Banks[0].LimitA)
	assert.True(t, o.Banks[0].Over())
	assert.Greater(t, o.Banks[0].After, o.Banks[0].Before, "the same power at a lower voltage")
	_, err = WhatIf(c, circuit.LoseString("DL1"))
	assert.ErrorContains(t, err, "no battery")
}
