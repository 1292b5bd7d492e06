package cards

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// behind is an outlet on the panel of an inverter/charger, which a 50 A site feeds
// through a 30 A breaker. The heater draws 15 A there, and the charger up to 10 A.
const behind = `format: rigline/1
title: An outlet behind an inverter/charger
parts:
  - {id: SH1, kind: shore, at: [100, 100], spec: {service: 50a-120/240}}
  - {id: INL1, kind: inlet, at: [200, 100], spec: {rating_a: 50}}
  - {id: PNL1, kind: panel, at: [300, 100], spec: {bus_a: 100, main_a: 50, legs: 2, circuits: [{leg: L1, breaker_a: 30}]}}
  - {id: INV1, kind: inverter-charger, at: [500, 100], spec: {continuous_va: 3000, dc_v: 12.8, relay_a: 30, charge_a: 70, idle_w: 20}}
  - {id: PNL2, kind: panel, at: [700, 100], spec: {bus_a: 60, legs: 1, circuits: [{breaker_a: 20}, {breaker_a: 20}]}}
  - {id: LD1, kind: ac-load, at: [900, 100], spec: {va: 1800, behaves: resistance}}
  - {id: R1, kind: receptacle, at: [900, 200], spec: {rating_a: 20}}
  - {id: BAT1, kind: battery, at: [500, 500], spec: {chemistry: lfp, nominal_v: 12.8, capacity_ah: 400, discharge_a: 300, charge_a: 200}}
runs:
  - {id: W1, from: SH1.out, to: INL1.site, size: 6 AWG, cable: cord-soow, length_ft: 1}
  - {id: W2, from: INL1.rig, to: PNL1.main, size: 6 AWG, cable: nm-b, length_ft: 1}
  - {id: W3, from: PNL1.c1, to: INV1.ac-in, size: 10 AWG, cable: nm-b, length_ft: 1}
  - {id: W4, from: INV1.ac-out, to: PNL2.main, size: 10 AWG, cable: nm-b, length_ft: 1}
  - {id: W5, from: PNL2.c1, to: LD1.in, size: 12 AWG, cable: nm-b, length_ft: 1}
  - {id: W6, from: PNL2.c2, to: R1.in, size: 12 AWG, cable: nm-b, length_ft: 1}
  - {id: W7, from: BAT1.pos, to: INV1.dc, cores: ["+"], size: 4/0 AWG, cable: battery-105, length_ft: 1}
  - {id: W8, from: BAT1.neg, to: INV1.dc, cores: ["-"], size: 4/0 AWG, cable: battery-105, length_ft: 1}
`

// Of the 30 A breaker's 24 A for hours the heater has 15; that the charger takes what is
// free does not make it less, for it gives that back.
func TestABreakerOnTheWayLimitsWhatIsPluggedIn(t *testing.T) {
	card := Of(read(t, behind))[0]
	require.Equal(t, "50 A site", card.Title)
	require.Len(t, card.Choices, 1)
	assert.InDelta(t, 9, card.Choices[0].Left, 0.2)
}

// A load on the outlet's own circuit has its share of the breaker.
func TestALoadOnTheOutletsCircuitLimitsWhatIsPluggedIn(t *testing.T) {
	doc := strings.NewReplacer("PNL2.c1, to: LD1.in", "R1.in, to: LD1.in", "va: 1800", "va: 960").Replace(behind)
	card := Of(read(t, doc))[0]
	require.Len(t, card.Choices, 1)
	assert.InDelta(t, 8, card.Choices[0].Left, 0.2) // 16 A of the 20 A breaker less 8 A
}

// On a small site an outlet is held to what the site gives, also where an inverter stands
// by beside it.
func TestAnOutletIsHeldToTheHotThatFeedsIt(t *testing.T) {
	standby := strings.Replace(behind, "runs:\n", `  - {id: INV2, kind: inverter, at: [700, 400], spec: {continuous_va: 1000, dc_v: 12.8}}
runs:
  - {id: W9, from: BAT1.pos, to: INV2.dc, cores: ["+"], size: 2 AWG, cable: battery-105, length_ft: 1}
  - {id: W10, from: BAT1.neg, to: INV2.dc, cores: ["-"], size: 2 AWG, cable: battery-105, length_ft: 1}
`, 1)
	for _, card := range Of(read(t, standby)) {
		if strings.HasPrefix(card.Title, "15 A") {
			require.Greater(t, len(card.Limits), 1)
			require.Len(t, card.Outlets, 1)
			assert.Equal(t, "no more than is left: SH1 L1 gives 12.0 A in all", card.Outlets[0].Why)
			return
		}
	}
	t.Fatal("no card of a 15 A site")
}

// What the charger takes of a small site it gives back to what is plugged in behind it: of
// 16 A the load leaves 11.
func TestChargingLeavesRoomForWhatIsPluggedIn(t *testing.T) {
	doc := strings.Replace(behind, "va: 1800", "va: 600", 1)
	for _, card := range Of(read(t, doc)) {
		if !strings.HasPrefix(card.Title, "20 A") {
			continue
		}
		require.Len(t, card.Choices, 1)
		require.Greater(t, card.Choices[0].Amps[0], 12.0, "it charges")
		assert.InDelta(t, 11, card.Choices[0].Left, 0.2)
		return
	}
	t.Fatal("no card of a 20 A site")
}

// A hot that feeds no outlet may be used up.
func TestAHotWithoutAnOutletLeavesTheOutletsTheirs(t *testing.T) {
	doc := strings.NewReplacer("{leg: L1, breaker_a: 30}]", "{leg: L1, breaker_a: 30}, {leg: L2, breaker_a: 50}]",
		"runs:\n", "  - {id: LD2, kind: ac-load, at: [900, 400], spec: {va: 4740, behaves: resistance}}\nruns:\n  - {id: W9, from: PNL1.c2, to: LD2.in, size: 6 AWG, cable: nm-b, length_ft: 1}\n").Replace(behind)
	card := Of(read(t, doc))[0]
	require.Len(t, card.Choices, 1)
	require.Greater(t, card.Choices[0].Amps[1], 39.0)
	assert.InDelta(t, 9, card.Choices[0].Left, 0.2)
}
