package cards

import (
	"fmt"
	"math/cmplx"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/solved"
	"rigline/rules/circuit"
)

// twins is a rig on a generator whose two windings are in phase, of 30 A each: its hots
// are held to 24 A each, and all that they draw comes back over the neutral of W1, the
// switch and W2. Loads of odd numbers hang on L1.
const twins = `format: rigline/1
title: Two hots in phase
parts:
  - {id: GEN1, kind: generator, at: [100, 100], spec: {rating_va: 8000, legs: same-phase, breaker_a: 30, bonded: true}}
  - {id: SH1, kind: shore, at: [100, 300], spec: {service: 50a-120/240}}
  - {id: INL1, kind: inlet, at: [200, 300], spec: {rating_a: 50}}
  - {id: TS1, kind: transfer-switch, at: [300, 100], spec: {rating_a: SWITCH, switches: [L1, L2, N], prefers: a}}
  - id: PNL1
    kind: panel
    at: [500, 100]
    spec:
      bus_a: 100
      main_a: 50
      legs: 2
      circuits: [{leg: L1, breaker_a: 20}, {leg: L2, breaker_a: 20}, {leg: L1, breaker_a: 20}, {leg: L2, breaker_a: 20}, {leg: L1, breaker_a: 20}, {leg: L2, breaker_a: 20}, {leg: L1, breaker_a: 30}]
  - {id: INV1, kind: inverter-charger, at: [700, 700], spec: {continuous_va: 2000, dc_v: 12.8, relay_a: 30, charge_a: CHARGE, idle_w: 20}}
  - {id: BAT1, kind: battery, at: [700, 900], spec: {chemistry: lfp, nominal_v: 12.8, capacity_ah: 400, discharge_a: 300, charge_a: 200}}
  - {id: F1, kind: fuse, at: [800, 900], spec: {family: class-t, rating_a: 350}}
  - {id: LD1, kind: ac-load, at: [700, 100], spec: {va: 1500}}
  - {id: LD2, kind: ac-load, at: [700, 200], spec: {va: 1400, pf: 0.9}}
  - {id: LD3, kind: ac-load, at: [700, 300], spec: {va: 900}}
  - {id: LD4, kind: ac-load, at: [700, 400], spec: {va: 1000}}
  - {id: LD5, kind: ac-load, at: [700, 500], spec: {va: 400}}
  - {id: LD6, kind: ac-load, at: [700, 600], spec: {va: 700, pf: 0.8}}
runs:
  - {id: W1, from: GEN1.out, to: TS1.b, size: GENSIZE, cable: tray-90, length_ft: 14}
  - {id: W2, from: TS1.out, to: PNL1.main, size: 6 AWG, cable: nm-b, length_ft: 5}
  - {id: W3, from: SH1.out, to: INL1.site, size: 6 AWG, cable: cord-soow, length_ft: 30}
  - {id: W4, from: INL1.rig, to: TS1.a, size: 6 AWG, cable: nm-b, length_ft: 3}
  - {id: W5, from: PNL1.c1, to: LD1.in, size: 12 AWG, cable: nm-b, length_ft: 20}
  - {id: W6, from: PNL1.c2, to: LD2.in, size: 12 AWG, cable: nm-b, length_ft: 20}
  - {id: W7, from: PNL1.c3, to: LD3.in, size: 12 AWG, cable: nm-b, length_ft: 20}
  - {id: W8, from: PNL1.c4, to: LD4.in, size: 12 AWG, cable: nm-b, length_ft: 20}
  - {id: W9, from: PNL1.c5, to: LD5.in, size: 12 AWG, cable: nm-b, length_ft: 20}
  - {id: W10, from: PNL1.c6, to: LD6.in, size: 12 AWG, cable: nm-b, length_ft: 20}
  - {id: W11, from: PNL1.c7, to: INV1.ac-in, size: 10 AWG, cable: nm-b, length_ft: 10}
  - {id: W15, from: BAT1.pos, to: F1.line, size: 4/0 AWG, cable: battery-105, length_ft: 0.5}
  - {id: W16, from: F1.load, to: INV1.dc, cores: ["+"], size: 4/0 AWG, cable: battery-105, length_ft: 4}
  - {id: W17, from: BAT1.neg, to: INV1.dc, cores: ["-"], size: 4/0 AWG, cable: battery-105, length_ft: 4.5}
`

func twinsOf(t *testing.T, switchA, charge int, size string) *components.Document {
	return read(t, strings.NewReplacer("SWITCH", fmt.Sprint(switchA), "CHARGE", fmt.Sprint(charge), "GENSIZE", size).Replace(twins))
}

// Two hots in phase put their sum on the neutral. With every set of loads solved, the
// sum of what the source gives, worked out from its hots alone, is within the conductor
// (310.16 at 60 °C: 10 AWG 30 A) and the switch's pole in every set that a card lets run,
// as choices and as sums; and it is not so careful that it lets run next to nothing.
func TestNeutralHoldsByBruteForce(t *testing.T) {
	for _, v := range []struct {
		name            string
		switchA, charge int
		size            string
		neutral         float64 // the least on the way back
	}{
		{"a thin conductor", 50, 0, "10 AWG", 30},
		{"a small pole", 40, 0, "6 AWG", 40},
		{"a thin conductor, charging", 50, 80, "10 AWG", 30},
		{"enough for both", 50, 0, "6 AWG", 50},
	} {
		doc := twinsOf(t, v.switchA, v.charge, v.size)
		quiet, err := withoutCharging(doc)
		require.NoError(t, err)
		laid := circuit.Lay(quiet)
		for _, tried := range []int{mostEnumerated, 0} {
			for _, sup := range supplies(doc) {
				c := one(doc, laid, sup, tried)
				if c.Kind != Generator {
					continue
				}
				name := fmt.Sprintf("%s, %d tried", v.name, tried)
				require.Empty(t, c.Failure, name)
				require.Empty(t, c.Unknown, "%s\n%s", name, c)
				charging, err := limited(doc, settingsOf(c))
				require.NoError(t, err)
				own := circuit.Lay(charging)
				lines := (&Card{Kind: c.Kind, State: c.State, Breaker: c.Breaker}).limits(solved.One(own, switched(charging, c.State, nil)))
				require.Len(t, lines, 2)
				loads := []components.ID{"LD1", "LD2", "LD3", "LD4", "LD5", "LD6"}
				lets, holds, tight := 0, 0, 0
				for mask := range 1 << len(loads) {
					on := map[components.ID]bool{}
					var ids []components.ID
					for i, id := range loads {
						if mask>>i&1 == 1 {
							ids, on[id] = append(ids, id), true
						}
					}
					s := solved.One(own, switched(charging, c.State, ids))
					require.True(t, s.Solved())
					var back complex128
					most := 0.0
					for _, l := range lines {
						amps := given(s, l.source.Hot)
						back, most = back+amps, max(most, cmplx.Abs(amps))
					}
					fits := most <= 24*hair && cmplx.Abs(back) <= v.neutral*hair
					if fits {
						holds++
					} else if most <= 24 {
						tight++
					}
					if !letRun(c, on) {
						continue
					}
					lets++
					assert.True(t, fits, "%s: %v: %.1f A come back, %.1f A on a hot", name, ids, cmplx.Abs(back), most)
				}
				t.Logf("%s: lets run %d of %d sets that hold; the neutral alone forbids %d", name, lets, holds, tight)
				assert.Greater(t, float64(lets), 0.4*float64(holds), name)
				assert.Equal(t, v.neutral < 48, tight > 0, "%s: does the neutral decide", name)
			}
		}
	}
}

// given is what leaves a hot of a source, as a phasor.
func given(s *solved.State, hot circuit.Term) complex128 {
	var sum complex128
	for _, i := range s.Circuit.LinksAt(hot) {
		amps, _ := s.Solution.Current(int(i))
		if s.Circuit.Links[i].A != hot {
			amps = -amps
		}
		sum += amps
	}
	return sum
}

// letRun tells whether a card lets the loads of a set run together.
func letRun(c Card, on map[components.ID]bool) bool {
	beside := func(ch Choice) bool {
		for id := range on {
			is := func(l Load) bool { return l.ID == id }
			if !slices.ContainsFunc(ch.Loads, is) && !slices.ContainsFunc(c.Always, is) {
				return false
			}
		}
		return true
	}
	if len(c.Budget.Loads) > 0 {
		for id := range on {
			is := func(l Load) bool { return l.ID == id }
			if slices.ContainsFunc(c.TooBig, is) {
				return false
			}
		}
		return c.Budget.Holds(on)
	}
	return slices.ContainsFunc(c.Choices, beside)
}

// A conductor whose neutral may carry two hots, and whose size is not known, leaves the
// card in doubt; with the legs apart the same conductor does not.
func TestANeutralOfUnknownSize(t *testing.T) {
	doc := read(t, strings.NewReplacer("SWITCH", "50", "CHARGE", "0", "size: GENSIZE, ", "", "size: 6 AWG, cable: cord-soow", "cable: cord-soow").Replace(twins))
	for _, c := range Of(doc) {
		doubt := strings.Join(c.Unknown, "\n")
		switch {
		case c.Kind == Generator:
			assert.Contains(t, doubt, "W1 is not known")
			assert.Contains(t, doubt, "its neutral may carry the sum of two hots")
		case c.Breaker == 50:
			assert.NotContains(t, doubt, "neutral")
		}
	}
}

// Of two hots in phase a card says what they may draw together, and what an outlet has
// left is no more than their neutral has.
func TestANeutralLimitsWhatIsPluggedIn(t *testing.T) {
	outlet := strings.NewReplacer("SWITCH", "50", "CHARGE", "0",
		"runs:\n", "  - {id: R1, kind: receptacle, at: [700, 650], spec: {rating_a: 20}}\nruns:\n  - {id: W20, from: PNL1.c6, to: R1.in, size: 12 AWG, cable: nm-b, length_ft: 20}\n")
	for size, neutral := range map[string]float64{"10 AWG": 30, "6 AWG": 0} {
		doc := read(t, strings.ReplaceAll(outlet.Replace(twins), "GENSIZE", size))
		for _, c := range Of(doc) {
			if c.Kind != Generator {
				continue
			}
			require.NotEmpty(t, c.Choices, "%s", c)
			if neutral == 0 { // 6 AWG is good for 55 A, and two hots of 24 A give 48 A
				assert.Empty(t, c.Back)
				continue
			}
			assert.Equal(t, []string{"GEN1 L1 and GEN1 L2 are in phase: together they may draw 30.0 A, what the neutral of W1 (10 AWG) is good for"}, c.Back)
			tight := 0
			for _, ch := range c.Choices {
				const phases = 1.2 // A: currents of unlike power factor come to a little less than their sum
				sum := ch.Amps[0] + ch.Amps[1]
				assert.LessOrEqual(t, ch.Left, neutral-sum+phases, "%v", ch)
				if ch.Left < 24-max(ch.Amps[0], ch.Amps[1])-phases {
					tight++
				}
			}
			assert.Positive(t, tight, "somewhere the neutral decides")
		}
	}
}
