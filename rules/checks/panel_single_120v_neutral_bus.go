package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// SingleSupplyBar holds a panel whose two bars stand in phase to what its neutral
// then carries.
var SingleSupplyBar = &rules.Rule{
	ID:    "panel.single-120v-neutral-bus",
	Title: "A neutral takes the sum of two legs in phase",
	Must:  "Where one 120 V supply feeds both bars of a panel, its neutral bar is rated above the sum of what the supply gives (a neutral that circuits share is for load.in-phase-shared-neutral), and the panel is marked as on a single 120 V supply. 240 V loads are dead there (load.240v-needs-split-phase).",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "220.61(A)", Says: "a neutral carries the largest unbalance: as much as the legs of a generator give together is enough, where an inverter's bar is above it", Seen: rules.Memory},
		{Source: "NFPA 70 (NEC) 2017-2023", Clause: "710.15(C) (earlier 690.10(C))", Says: "a single 120 V supply: no 240 V outlets, no multiwire circuits, neutral bar above the sum, a sign", Seen: rules.Published},
	},
	Set:   components.USVehicle,
	Level: rules.Danger,
	Check: singleSupplyBar,
}

func singleSupplyBar(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.Panel || q.Gone() {
			continue
		}
		a, okA := p.Circuit.At(q.ID, "bar", components.L1)
		b, okB := p.Circuit.At(q.ID, "bar", components.L2)
		if !okA || !okB || p.Circuit.PhaseOf(a, b) != circuit.InPhase {
			continue
		}
		src := p.Circuit.Feeds(a)[0].Part
		neutralBar(p, q, src)
		if p.Circuit.Positions[src] != circuit.Inverting {
			continue
		}
		askMarked(p, q, "single_supply_sign", "whether a sign tells of the single 120 V supply is not: look at the panel")
		if sign, from := q.Value("single_supply_sign"); from == components.Given && !sign.Truth() {
			p.Report(rules.Finding{
				At: string(q.ID), Also: []string{string(src)}, Level: rules.Advice,
				Message: fmt.Sprintf("%s feeds both bars of %s from one 120 V supply, and no sign at the panel says so: the next fitter may add a shared neutral", src, q.ID),
				Fixes:   []rules.Fix{{Title: fmt.Sprintf("Fit the sign at %s", q.ID), Edits: []components.Edit{set(q.ID, "single_supply_sign", components.Yes(true))}}},
			})
		}
	}
}

// neutralBar holds the bar to all that the supply gives on both legs together.
func neutralBar(p *rules.Pass, q components.Part, src components.ID) {
	sum, bar := math.Min(sourceTotal(p, src), feederTotal(p, q, src)), q.Figure("neutral_bar_a")
	inverter := p.Circuit.Positions[src] == circuit.Inverting
	askMarked(p, q, "neutral_bar_a", "whether it carries both legs' currents together is not: read the rating off the bar")
	if !bar.Known() || math.IsInf(sum, 1) || sum < bar.Value || sum == bar.Value && !inverter {
		return // bus_a is asked for by panel.rating-covers-supply
	}
	level := rules.Danger
	if sum == bar.Value {
		level = rules.Violation // the clause wants it above the sum of stand-alone sources
	}
	p.Report(rules.Finding{
		Level: level,
		At:    string(q.ID), Also: []string{string(src)},
		Message: fmt.Sprintf("While %s feeds both bars of %s in phase, its neutral bar can carry %s A; it is rated %s A", src, q.ID, numText(sum), numText(bar.Value)),
		Working: []string{fmt.Sprintf("sum of the legs %s A ≥ %s A", numText(sum), numText(bar.Value))},
		Fixes:   []rules.Fix{{Title: fmt.Sprintf("Fit a neutral bar of %s A in %s", numText(barAbove(sum)), q.ID), Edits: []components.Edit{set(q.ID, "neutral_bar_a", components.Num(barAbove(sum)))}}},
	})
}

// feederTotal is what the devices ahead of a panel's hots let through together, in A: a
// jumpered panel that one hot feeds has that hot's alone on its neutral.
func feederTotal(p *rules.Pass, q components.Part, src components.ID) float64 {
	total, fed := 0.0, false
	for i, l := range p.Circuit.Links {
		if l.Part != q.ID || l.Join.APort != "main" || l.Join.BPort != "bar" || !l.Join.APole.Hot() || !l.Closed {
			continue
		}
		most := 0.0
		for _, f := range p.Feeds()[i] {
			if f.Source.Part == src && f.Enters == l.A {
				fed, most = true, math.Max(most, f.LimitA)
				if f.Unknown {
					most = math.Inf(1)
				}
			}
		}
		total += most
	}
	if !fed {
		return math.Inf(1)
	}
	return total
}

func barAbove(amps float64) float64 {
	for _, a := range []float64{60, 100, 125, 200} {
		if a > amps {
			return a
		}
	}
	return 225
}
