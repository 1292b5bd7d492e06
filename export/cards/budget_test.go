package cards

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/solved"
	"rigline/rules/circuit"
)

// town is a 50 A rig with ten larger loads: on both legs of the main panel, one across
// both, and behind an inverter/charger in a panel of its own with a small main.
const town = `format: rigline/1
title: Ten loads
parts:
  - {id: SH1, kind: shore, at: [100, 100], spec: {service: 50a-120/240}}
  - id: PNL1
    kind: panel
    at: [400, 100]
    spec:
      bus_a: 100
      main_a: 50
      legs: 2
      circuits:
        - {leg: L1, breaker_a: 30}
        - {leg: L1, breaker_a: 20}
        - {leg: L1, breaker_a: 20}
        - {leg: L2, breaker_a: 20}
        - {leg: L2, breaker_a: 20}
        - {leg: L2, breaker_a: 20}
        - {leg: both, breaker_a: 20}
  - {id: INV1, kind: inverter-charger, at: [700, 100], spec: {continuous_va: 3000, dc_v: 12.8, relay_a: 30, charge_a: 60, idle_w: 20}}
  - id: PNL2
    kind: panel
    at: [900, 100]
    spec: {bus_a: 60, main_a: 20, legs: 1, circuits: [{leg: L1, breaker_a: 20}, {leg: L1, breaker_a: 15}, {leg: L1, breaker_a: 15}, {leg: L1, breaker_a: 15}]}
  - {id: LD1, kind: ac-load, at: [700, 300], spec: {va: 1500, pf: 0.9}}
  - {id: LD2, kind: ac-load, at: [700, 400], spec: {va: 1200}}
  - {id: LD3, kind: ac-load, at: [700, 500], spec: {va: 1500, pf: 0.9}}
  - {id: LD4, kind: ac-load, at: [700, 600], spec: {va: 1000, behaves: resistance}}
  - {id: LD5, kind: ac-load, at: [700, 700], spec: {va: 1800}}
  - {id: LD6, kind: ac-load, at: [700, 800], spec: {va: 2400, hots: 2}}
  - {id: LD7, kind: ac-load, at: [1200, 100], spec: {va: 1600}}
  - {id: LD8, kind: ac-load, at: [1200, 200], spec: {va: 900}}
  - {id: LD9, kind: ac-load, at: [1200, 300], spec: {va: 800, pf: 0.7}}
  - {id: LD10, kind: ac-load, at: [1200, 400], spec: {va: 700}}
  - {id: LD11, kind: ac-load, at: [1200, 500], spec: {va: 60}}
  - {id: BAT1, kind: battery, at: [700, 900], spec: {chemistry: lfp, nominal_v: 12.8, capacity_ah: 400, discharge_a: 300, charge_a: 200}}
  - {id: F1, kind: fuse, at: [800, 900], spec: {family: class-t, rating_a: 350}}
runs:
  - {id: W1, from: SH1.out, to: PNL1.main, size: 6 AWG, cable: cord-soow, length_ft: 40}
  - {id: W2, from: PNL1.c1, to: INV1.ac-in, size: 10 AWG, cable: nm-b, length_ft: 20}
  - {id: W3, from: INV1.ac-out, to: PNL2.main, size: 10 AWG, cable: nm-b, length_ft: 10}
  - {id: W4, from: PNL1.c2, to: LD1.in, size: 12 AWG, cable: nm-b, length_ft: 40}
  - {id: W5, from: PNL1.c3, to: LD2.in, size: 12 AWG, cable: nm-b, length_ft: 40}
  - {id: W6, from: PNL1.c4, to: LD3.in, size: 12 AWG, cable: nm-b, length_ft: 40}
  - {id: W7, from: PNL1.c5, to: LD4.in, size: 12 AWG, cable: nm-b, length_ft: 20}
  - {id: W8, from: PNL1.c6, to: LD5.in, size: 12 AWG, cable: nm-b, length_ft: 20}
  - {id: W9, from: PNL1.c7, to: LD6.in, size: 12 AWG, cable: nm-b, length_ft: 20}
  - {id: W10, from: PNL2.c1, to: LD7.in, size: 12 AWG, cable: nm-b, length_ft: 40}
  - {id: W11, from: PNL2.c2, to: LD8.in, size: 14 AWG, cable: nm-b, length_ft: 30}
  - {id: W12, from: PNL2.c3, to: LD9.in, size: 14 AWG, cable: nm-b, length_ft: 30}
  - {id: W13, from: PNL2.c4, to: LD10.in, size: 14 AWG, cable: nm-b, length_ft: 30}
  - {id: W14, from: PNL2.c4, to: LD11.in, size: 14 AWG, cable: nm-b, length_ft: 30}
  - {id: W15, from: BAT1.pos, to: F1.line, size: 4/0 AWG, cable: battery-105, length_ft: 0.5}
  - {id: W16, from: F1.load, to: INV1.dc, cores: ["+"], size: 4/0 AWG, cable: battery-105, length_ft: 4}
  - {id: W17, from: BAT1.neg, to: INV1.dc, cores: ["-"], size: 4/0 AWG, cable: battery-105, length_ft: 4.5}
`

// Every set that keeps to the sums holds when it is solved, charging at the card's
// settings included: all of them are tried. And the sums are not so small that they say
// nothing: they let pass most of what holds.
func TestSumsHoldByBruteForce(t *testing.T) {
	doc := read(t, town)
	quiet, err := withoutCharging(doc)
	require.NoError(t, err)
	laid := circuit.Lay(quiet)
	budgets, groups := 0, 0
	for _, sup := range supplies(doc) {
		c := one(doc, laid, sup, 2)
		require.Empty(t, c.Failure, sup.title)
		require.Empty(t, c.Unknown, sup.title)
		if c.All {
			continue
		}
		require.NotEmpty(t, c.Budget.Loads, "%s\n%s", sup.title, c)
		everyLoadIsToldOf(t, "town", doc, c)
		budgets++
		set := settingsOf(c)
		charging, err := limited(doc, set)
		require.NoError(t, err)
		own := circuit.Lay(charging)
		idle := solved.One(laid, switched(quiet, sup.state, nil))
		scratch := Card{Kind: c.Kind, State: c.State, Breaker: c.Breaker}
		lines := scratch.limits(idle)
		for _, s := range c.Budget.Sums {
			if s.Of != nil {
				groups++
			}
		}
		all := append([]Share{}, c.Budget.Loads...)
		for _, l := range c.TooBig {
			all = append(all, Share{Load: l})
		}
		allowed, holds := 0, 0
		for mask := range 1 << len(all) {
			on := map[components.ID]bool{}
			var ids []components.ID
			for _, l := range c.Always {
				ids = append(ids, l.ID)
			}
			big := false
			for i, l := range all {
				if mask>>i&1 == 1 {
					on[l.ID] = true
					ids = append(ids, l.ID)
					big = big || i >= len(c.Budget.Loads)
				}
			}
			says := !big && c.Budget.Holds(on)
			s := solved.One(own, switched(charging, c.State, ids))
			why, ok := c.fits(s, lines)
			if says {
				allowed++
				assert.True(t, ok, "%s: %v: %s", c.Title, ids, why)
			}
			if ok {
				holds++
			}
		}
		t.Logf("%s: the sums allow %d of %d sets that hold, of %d", c.Title, allowed, holds, 1<<len(all))
		assert.Greater(t, float64(allowed), 0.4*float64(holds), c.Title)
	}
	assert.GreaterOrEqual(t, budgets, 4)
	assert.Positive(t, groups, "somewhere the small main decides")
}

// A card of more larger loads than can be told in combinations says the sums, what each
// adds, and examples, and every load stands on it.
func TestACardOfManyLoads(t *testing.T) {
	var b strings.Builder
	b.WriteString("format: rigline/1\ntitle: Many\nparts:\n  - {id: SH1, kind: shore, at: [100, 100], spec: {service: 50a-120/240}}\n  - id: PNL1\n    kind: panel\n    at: [400, 100]\n    spec:\n      bus_a: 100\n      main_a: 50\n      legs: 2\n      circuits:\n")
	for i := range 16 {
		fmt.Fprintf(&b, "        - {leg: L%d, breaker_a: 20}\n", 1+i%2)
	}
	for i := range 16 {
		fmt.Fprintf(&b, "  - {id: LD%d, kind: ac-load, at: [700, %d], spec: {va: %d}}\n", i+1, 100+50*i, 600+50*i)
	}
	b.WriteString("runs:\n  - {id: W1, from: SH1.out, to: PNL1.main, size: 6 AWG, cable: cord-soow, length_ft: 25}\n")
	for i := range 16 {
		fmt.Fprintf(&b, "  - {id: W%d, from: PNL1.c%d, to: LD%d.in, size: 12 AWG, cable: nm-b, length_ft: 20}\n", i+2, i+1, i+1)
	}
	doc := read(t, b.String())
	for _, c := range Of(doc) {
		require.Empty(t, c.Failure)
		require.Empty(t, c.Unknown)
		everyLoadIsToldOf(t, "many", doc, c)
		require.NotEmpty(t, c.Budget.Loads, c.Title)
		text := c.String()
		assert.Contains(t, text, "What may run together is a sum of amperes")
		assert.Contains(t, text, "For example:")
		for _, ch := range c.Choices {
			on := map[components.ID]bool{}
			for _, l := range ch.Loads {
				on[l.ID] = true
			}
			assert.True(t, c.Budget.Holds(on), "an example keeps to the sums")
		}
	}
	first := Of(doc)[0]
	require.Len(t, first.Budget.Sums, 2, "one for each leg")
	// 600 VA over 120 V; 80 % of 50 A less next to nothing for drops.
	assert.InDelta(t, 5.0, first.Budget.Loads[len(first.Budget.Loads)-1].Amps[0], 1e-9)
	for _, s := range first.Budget.Sums {
		assert.InDelta(t, 40, s.Amps, 2)
	}
}

// The sums of every sample and topology, made where a card would else tell choices, hold
// for every set that keeps to them; in a short run of those with few loads.
func TestSumsHoldInEveryRig(t *testing.T) {
	sets, most := 0, 7
	if testing.Short() {
		most = 4
	}
	for name, doc := range everyRig(t) {
		quiet, err := withoutCharging(doc)
		require.NoError(t, err)
		laid := circuit.Lay(quiet)
		for _, sup := range supplies(doc) {
			c := one(doc, laid, sup, 0)
			if c.Failure != "" || c.All || len(c.Budget.Loads) > most {
				continue
			}
			everyLoadIsToldOf(t, name, doc, c)
			for mask := range 1 << len(c.Budget.Loads) {
				on := map[components.ID]bool{}
				loads := append([]Load{}, c.Always...)
				for i, l := range c.Budget.Loads {
					if mask>>i&1 == 1 {
						on[l.ID] = true
						loads = append(loads, l.Load)
					}
				}
				if c.Budget.Holds(on) {
					sets++
					again(t, doc, c, loads)
				}
			}
		}
	}
	assert.Greater(t, sets, 100)
}
