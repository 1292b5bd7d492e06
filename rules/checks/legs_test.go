package checks

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/rules/circuit"
)

func rows(edit ...components.Spec) components.Edit {
	return set("PNL1", "circuits", components.Table(edit...))
}

func row(leg string, amps float64, more ...string) components.Spec {
	s := components.Spec{"leg": components.Str(leg), "breaker_a": components.Num(amps)}
	for _, key := range more {
		s[key] = components.Yes(true)
	}
	return s
}

func TestOvercurrentEdges(t *testing.T) {
	const alone = "../../testdata/rules/overcurrent.appliance-limit.yaml" // LD1, 1680 VA, alone on 25 A
	edges(t, alone, "overcurrent.appliance-limit", []edge{
		{"14 A on 20 A", []components.Edit{rows(row("L1", 20))}, "PNL1.c1", "", false, "551.43(A): 150 % × 14 A = 21 A"},
		{"14 A on 25 A", nil, "PNL1.c1", "21 A is the most", false, "551.43(A)"},
		{"13.2 A on 25 A", []components.Edit{num("LD1", "va", 13.2*120)}, "PNL1.c1", "", false, "551.43(A) begins at 13.3 A"},
		{"marked 25 A", []components.Edit{num("LD1", "max_breaker_a", 25)}, "PNL1.c1", "", false, "551.43(A): the marked rating"},
		{"marked 20 A", []components.Edit{num("LD1", "max_breaker_a", 20)}, "PNL1.c1", "the plate of LD1 allows 20 A", false, "551.43(A): the marked rating"},
		{"a motor with no plate read", []components.Edit{set("LD1", "motor", components.Yes(true))}, "LD1", "max_breaker_a of LD1 is not told", true, "440.22(A): 175 % × 14 A = 24.5 A"},
	})
	edges(t, alone, "conductor.small-wire-cap", []edge{
		{"12 AWG behind 25 A", []components.Edit{word("W5", "size", "12 AWG")}, "W5", "allows 20 A", false, "240.4(D)"},
		{"aluminum, 75 °C terminals", []components.Edit{word("W5", "size", "10 AWG"), word("W5", "metal", "aluminum"), num("W5", "terminal_c", 75), rows(row("L1", 30))}, "W5", "allows 25 A", false, "240.4(D): 10 AWG aluminum 25 A, and 310.16 would let 30 A"},
		{"aluminum at its cap", []components.Edit{word("W5", "size", "10 AWG"), word("W5", "metal", "aluminum"), num("W5", "terminal_c", 75)}, "W5", "", false, "240.4(D): 10 AWG aluminum 25 A"},
		{"as the plate of an air conditioner allows", []components.Edit{word("W5", "size", "12 AWG"), num("LD1", "max_breaker_a", 25), num("LD1", "va", 1680)}, "W5", "", false, "240.4(G): 125 % × 14 A = 17.5 A on 20 A"},
		{"the plate, and a wire too thin for it", []components.Edit{word("W5", "size", "14 AWG"), num("LD1", "max_breaker_a", 25)}, "W5", "allows 15 A", false, "240.4(G): 125 % × 14 A = 17.5 A > 15 A"},
	})
	const bare = "../../testdata/rules/overcurrent.every-line-at-source.yaml"
	edges(t, bare, "overcurrent.every-line-at-source", []edge{
		{"electronics alone", nil, "INV1", "over no fuse or breaker", false, "UL 458: branch-rated protection in the output circuit"},
		{"a breaker in the unit", []components.Edit{num("INV1", "output_breaker_a", 20)}, "INV1", "", false, "UL 458"},
		{"power not known", []components.Edit{unknown("INV1", "continuous_va")}, "INV1", "continuous_va of INV1 is not known", true, "nothing to hold against"},
	})
	const loose = "../../testdata/rules/overcurrent.common-trip.yaml"
	edges(t, loose, "overcurrent.common-trip", []edge{
		{"tied", []components.Edit{rows(row("L1", 15), row("L2", 15, "tied"))}, "PNL1.c2", "", false, "210.4(B), handle tie"},
		{"loose", nil, "PNL1.c2", "open one by one", false, "210.4(B)"},
		{"on one leg", []components.Edit{rows(row("L1", 15), row("L1", 15))}, "PNL1.c2", "", false, "no multiwire circuit: one leg"},
	})
}

func TestNeutralEdges(t *testing.T) {
	const thin = "../../testdata/rules/neutral.carries-unbalance.yaml" // W14, the neutral of a 30 A feeder
	edges(t, thin, "neutral.carries-unbalance", []edge{
		{"10 AWG", []components.Edit{word("W14", "size", "10 AWG")}, "W14", "", false, "310.16: 30 A at 60 °C"},
		{"12 AWG", []components.Edit{word("W14", "size", "12 AWG")}, "W14", "is good for 20 A", false, "310.16: 20 A at 60 °C"},
		{"not told", []components.Edit{set("W14", "size", components.Value{})}, "W14", "size of W14 is not known", true, "nothing to look up"},
	})
	const two = "../../testdata/rules/panel.single-120v-neutral-bus.yaml" // an adapter puts 30 A on both bars
	edges(t, two, "panel.single-120v-neutral-bus", []edge{
		{"as the bus", []components.Edit{set("PNL1", "neutral_bar_a", components.Value{})}, "PNL1", "", false, "60 A bar, 30 A adapter"},
		{"at the adapter", []components.Edit{num("PNL1", "neutral_bar_a", 30)}, "PNL1", "", false, "a site is no stand-alone source: 30 A on 30 A"},
		{"below it", nil, "PNL1", "can carry 30 A; it is rated 25 A", false, "710.15(C)"},
		{"an inverter in phase, at the sum", []components.Edit{word("INV1", "inverts", "both-in-phase"), num("INV1", "continuous_va", 4800), num("PNL1", "neutral_bar_a", 40)}, "PNL1", "can carry 40 A; it is rated 40 A", false, "710.15(C): greater than the sum"},
	})
	const lost = "../../testdata/rules/neutral.open-neutral-exposure.yaml" // 1500 and 150 VA
	edges(t, lost, "neutral.open-neutral-exposure", []edge{
		{"218 V", nil, "F2", "sees 218.2 V", false, "240 V × 1500 / 1650"},
		{"132 V", []components.Edit{num("LD1", "va", 1000), num("LD2", "va", 820)}, "F2", "", false, "240 V × 1000 / 1820 = 131.9 V"},
		{"just above", []components.Edit{num("LD1", "va", 1000), num("LD2", "va", 815)}, "F2", "sees 132.2 V", false, "240 V × 1000 / 1815"},
		{"no protector", []components.Edit{set("SP1", "lost_neutral_trip", components.Yes(false))}, "INL1", "If plug or outlet at INL1 loses the neutral", false, "common practice"},
	})
	edges(t, cleanRig, "neutral.bond-relay-follows-transfer", []edge{
		{"its relay", nil, "INV1", "", false, "UL 458"},
		{"a screw that the states count", []components.Edit{set("INV1", "bonded", components.Yes(true))}, "INV1", "", false, "neutral.one-bond-per-state speaks"},
	})
	const solid = "../../testdata/rules/transfer.poles-match-system.yaml"
	edges(t, solid, "neutral.one-bond-per-state", []edge{
		{"a generator's bond unknown behind a solid neutral", []components.Edit{unknown("GEN1", "bonded")}, "SH1", "bonded of GEN1 is unknown", true, "the site's bond and perhaps the generator's"},
		{"and behind a switched one", []components.Edit{unknown("GEN1", "bonded"), set("TS1", "switches", components.Words("L", "N"))}, "SH1", "", false, "its neutral is not on the site's network"},
	})
}

func TestCaravanNeutral(t *testing.T) {
	const caravan = "../../projects/samples/caravan-230.yaml"
	both := func(opens bool) components.Edit {
		c := func(amps float64, neutral bool) components.Spec {
			return components.Spec{"breaker_a": components.Num(amps), "opens_neutral": components.Yes(neutral), "label": components.Str("x")}
		}
		return rows(c(10, opens), c(6, true), c(10, true))
	}
	edges(t, caravan, "overcurrent.not-in-neutral", []edge{
		{"line and neutral", []components.Edit{both(true)}, "PNL1.c1", "", false, "721.43"},
		{"line alone", []components.Edit{both(false)}, "PNL1.c1", "opens the line alone", false, "721.43"},
	})
}

// Under IEC 60364 a device carries its rating for hours, and bonds are read off the
// metric table.
func TestCaravanCoordination(t *testing.T) {
	const caravan = "../../projects/samples/caravan-230.yaml"
	hours := func(va float64) []components.Edit {
		return []components.Edit{num("LD1", "va", va), set("LD1", "continuous", components.Yes(true))}
	}
	edges(t, caravan, "overcurrent.rating-above-continuous", []edge{
		{"its rating for hours", hours(2200), "PNL1.c3", "", false, "60364-4-43 433.1: 2200 VA at 228 V is 9.6 A on 10 A"},
		{"above it", hours(2500), "PNL1.c3", "A runs through it with everything on", false, "60364-4-43 433.1: 10.9 A on 10 A"},
	})
	edges(t, caravan, "load.demand-within-main", []edge{
		{"below the main for hours", []components.Edit{num("LD1", "va", 3100), set("LD1", "continuous", components.Yes(true))}, "PNL1.main", "", false, "13.5 A + 2.1 A on 16 A"},
		{"above it", []components.Edit{num("LD1", "va", 3900), set("LD1", "continuous", components.Yes(true))}, "PNL1.main", "what runs for hours behind it asks for", false, "17 A + 2.1 A on 16 A"},
	})
	european := components.SetProject{Title: "x", Basis: components.Caravan, Units: "us", AmbientC: 30, ConductorTempC: 75}
	const limit = "../../testdata/rules/inverter.input-limit.yaml"
	edges(t, limit, "inverter.input-limit", []edge{
		{"the breaker's rating for hours", []components.Edit{european, num("INV1", "input_limit_a", 20)}, "INV1", "", false, "I_B ≤ I_n: 20 A on 20 A"},
		{"above it", []components.Edit{european, num("INV1", "input_limit_a", 21)}, "INV1", "21 A", false, "21 A on 20 A"},
	})
	doc := load(t, caravan)
	r, ok := doc.Run("W22")
	require.True(t, ok)
	a, err := Ampacity(circuit.Build(doc, doc.Operating()[0]), r, components.G)
	require.NoError(t, err)
	assert.Contains(t, a.Working[0], "IEC 60364-5-52 B.52.2")
	for _, f := range check(t, load(t, limit)).All() {
		if f.Rule.ID == "inverter.input-limit" {
			assert.Contains(t, f.Rule.BasisOf(components.USVehicle)[0].Source, "NEC")
			assert.Equal(t, "IEC 60364-4-43", f.Rule.BasisOf(components.Caravan)[0].Source)
			assert.Len(t, f.Rule.BasisOf(components.Caravan), 1)
		}
	}
}

// A neutral between the bars of two panels that an inverter stands between.
func TestTiedNeutralBars(t *testing.T) {
	tie := func(cores ...components.Core) components.Edit {
		return components.AddRun{Run: components.Run{ID: "W99", From: components.PortRef{Part: "PNL1", Port: "main"}, To: components.PortRef{Part: "PNL2", Port: "main"}, Cores: cores,
			Spec: components.Spec{"size": components.Str("10 AWG"), "cable": components.Str("thhn"), "length_ft": components.Num(4)}}}
	}
	edges(t, "../../testdata/topologies/t04.yaml", "neutral.returns-to-own-source", []edge{
		{"neutral alone", []components.Edit{tie(components.Core{From: components.N, To: components.N})}, "W99", "ties the neutrals of PNL1 and PNL2", false, "200.4(A), 300.3(B)"},
		{"ground alone", []components.Edit{tie(components.Core{From: components.G, To: components.G})}, "W99", "", false, "grounds may meet"},
	})
}

// One finding tells of all smaller outlets, so each has its figure in it.
func TestInputLimitOfEverySmallerOutlet(t *testing.T) {
	for _, f := range check(t, load(t, "../../projects/samples/workshop-bus.yaml")).All() {
		if f.Rule.ID == "inverter.input-limit" {
			assert.Equal(t, []string{"Shore 20 A adapter", "Shore 15 A adapter"}, f.States)
			assert.Contains(t, f.Message, "down from 24 A to 16 A: the site's 20 A breaker feeds it there, at 15 A to 12 A; to less where others draw")
			return
		}
	}
	t.Fatal("a limit of 24 A on a breaker of 20 A")
}
