package circuit

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
)

// arrangement is one row of the matrix: what bonds there are and whether the
// transfer switch moves the neutral.
type arrangement struct {
	name      string
	relay     bool // inverter's automatic ground relay
	fixed     bool // inverter's neutral bonded for good
	generator bool
	genBonded bool
	plug      bool // a bonding plug on a floating generator
	neutral   bool // the transfer switch moves the neutral
	screw     bool // green screw left in the vehicle's panel
	shore     int
	gen       int // -1 where there is no generator
	inverting int
}

// The matrix is the method of NEC 250.24, 250.30, 250.34 and UL 458 applied to
// common arrangements by hand; cord unplugged on generator and inverter.
var matrix = []arrangement{
	{name: "automatic ground relay, no generator", relay: true, shore: 1, gen: -1, inverting: 1},
	{name: "ground relay disabled, no other bond", shore: 1, gen: -1, inverting: 0},
	{name: "inverter with fixed bond", fixed: true, shore: 2, gen: -1, inverting: 1},
	{name: "relay, bonded generator, neutral switched", relay: true, generator: true, genBonded: true, neutral: true, shore: 1, gen: 1, inverting: 1},
	{name: "relay, bonded generator, neutral not switched", relay: true, generator: true, genBonded: true, shore: 2, gen: 1, inverting: 2},
	{name: "relay, floating generator, neutral switched", relay: true, generator: true, neutral: true, shore: 1, gen: 0, inverting: 1},
	{name: "relay, floating generator with bonding plug, neutral switched", relay: true, generator: true, plug: true, neutral: true, shore: 1, gen: 1, inverting: 1},
	{name: "relay, green screw in the panel", relay: true, generator: true, genBonded: true, neutral: true, screw: true, shore: 2, gen: 2, inverting: 2},
}

func (a arrangement) build(t *testing.T) *components.Document {
	num, str, yes := components.Num, components.Str, components.Yes
	edits := []components.Edit{}
	part := func(id string, k *components.Kind, s components.Spec) {
		edits = append(edits, components.AddPart{Part: components.Part{ID: components.ID(id), Kind: k, Spec: s}})
	}
	run := func(id, from, to string, cores ...string) {
		a, err := components.ParsePortRef(from)
		require.NoError(t, err)
		b, err := components.ParsePortRef(to)
		require.NoError(t, err)
		r := components.Run{ID: components.ID(id), From: a, To: b}
		for _, c := range cores {
			core, err := components.ParseCore(c)
			require.NoError(t, err)
			r.Cores = append(r.Cores, core)
		}
		edits = append(edits, components.AddRun{Run: r})
	}
	part("SH1", &components.Shore, components.Spec{"service": str("30a-120")})
	part("INL1", &components.Inlet, components.Spec{"rating_a": num(30)})
	part("INV1", &components.InverterCharger, components.Spec{"continuous_va": num(2000), "dc_v": num(12.8), "relay_a": num(30), "charge_a": num(50), "bond_relay": yes(a.relay), "bonded": yes(a.fixed)})
	part("PNL1", &components.Panel, components.Spec{"bus_a": num(30), "legs": num(1), "neutral_bonded": yes(a.screw), "circuits": components.Table(components.Spec{"breaker_a": num(15)})})
	part("BAT1", &components.Battery, components.Spec{"chemistry": str("lfp"), "nominal_v": num(12.8), "capacity_ah": num(200)})
	run("W1", "SH1.out", "INL1.site")
	run("W3", "INV1.ac-out", "PNL1.main")
	run("W4", "BAT1.pos", "INV1.dc")
	run("W5", "BAT1.neg", "INV1.dc")
	if !a.generator {
		run("W2", "INL1.rig", "INV1.ac-in")
	} else {
		words := []string{"L"}
		if a.neutral {
			words = append(words, "N")
		}
		part("TS1", &components.TransferSwitch, components.Spec{"rating_a": num(30), "switches": components.Words(words...)})
		part("GEN1", &components.Generator, components.Spec{"rating_va": num(2400), "breaker_a": num(20), "bonded": yes(a.genBonded)})
		run("W2", "INL1.rig", "TS1.a")
		run("W6", "GEN1.out", "TS1.b")
		run("W7", "TS1.out", "INV1.ac-in")
		if a.plug {
			part("BJ1", &components.BondKind, components.Spec{"a_pole": str("N")})
			run("W8", "GEN1.out", "BJ1.a", "N")
			run("W9", "GEN1.out", "BJ1.b", "G")
		}
	}
	doc, err := components.NewDocument(a.name).Apply(edits...)
	require.NoError(t, err)
	return doc
}

func TestBondCountMatrix(t *testing.T) {
	for _, a := range matrix {
		t.Run(a.name, func(t *testing.T) {
			doc := a.build(t)
			want := map[string]int{"Shore": a.shore, "Off grid": a.inverting}
			if a.gen >= 0 {
				want["Generator"] = a.gen
			}
			for _, s := range doc.Operating() {
				isles := Build(doc, s).Islands()
				require.Len(t, isles, 1, s.Name)
				assert.Len(t, isles[0].Bonds, want[s.Name], "%s: %v", s.Name, isles[0].Bonds)
				delete(want, s.Name)
			}
			assert.Empty(t, want, "states that were not worked out")
		})
	}
}
