package checks

import (
	"fmt"
	"math"
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// InputLimit holds the limit that is set on an inverter/charger to its supply.
var InputLimit = &rules.Rule{
	ID:    "inverter.input-limit",
	Title: "The input limit is above what the supply gives",
	Must:  "The input limit set on an inverter/charger is not above the weakest breaker that feeds it, and at most 80 % of that where charging runs for hours, but all of it by IEC 60364. It is lowered when an adapter takes the rig to a smaller outlet.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "210.20(A), 210.23", Says: "80 % for what runs three hours or more", Seen: rules.Published, Set: components.USVehicle},
		coordination,
	},
	Level: rules.Violation,
	Check: inputLimit,
}

func inputLimit(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.InverterCharger || q.Gone() || p.Circuit.Positions[q.ID] != circuit.Passing {
			continue
		}
		ahead, ok := aheadOfInput(p, q)
		if !ok || ahead.Unknown || math.IsInf(ahead.LimitA, 1) {
			continue // the ampacity rule asks for the breaker ahead
		}
		limit := q.Figure("input_limit_a")
		adapter := slices.Contains(components.Adapters, p.State.Shore)
		if !limit.Known() {
			// A unit takes no more than its relay passes: a supply as large needs no limit.
			if relay := q.Figure("relay_a"); !adapter && (!relay.Known() || relay.Value > ahead.LimitA) {
				p.Unchecked(string(q.ID), fmt.Sprintf("input_limit_a of %s is not told, and %s feeds it: read the setting", q.ID, ahead))
			}
			continue
		}
		want := heldFor(p.Doc, ahead.LimitA)
		f := rules.Finding{
			At:    string(q.ID),
			Fixes: []rules.Fix{{Title: fmt.Sprintf("Set the input limit of %s to %s A", q.ID, numText(want)), Edits: []components.Edit{set(q.ID, "input_limit_a", components.Num(want))}}},
		}
		if ahead.HasDevice() {
			f.Also = []string{ahead.Device.Address()}
		} else {
			f.Also = []string{string(ahead.Source.Part)}
		}
		switch {
		case adapter && limit.Value > ahead.LimitA:
			// The drawing holds one setting, for its own site; at a smaller one it is turned down by hand.
			f.Level, f.Fixes = rules.Advice, nil
			f.Message = fmt.Sprintf("At a smaller outlet turn the input limit of %s down from %s A to %s A: %s feeds it there%s; to less where others draw on the same hot, as the site card tells", q.ID, numText(limit.Value), numText(want), ahead, smallerStill(p.Doc, ahead.LimitA))
			if !european(p.Doc) {
				f.Working = []string{fmt.Sprintf("80 %% × %s A = %s A", numText(ahead.LimitA), numText(0.8*ahead.LimitA))}
			}
		case adapter:
			continue
		case limit.Value > ahead.LimitA:
			f.Message = fmt.Sprintf("The input limit of %s is %s A, but %s feeds it: the breaker opens before the limit holds", q.ID, numText(limit.Value), ahead)
			f.Working = []string{fmt.Sprintf("%s A > %s A", numText(limit.Value), numText(ahead.LimitA))}
		case !european(p.Doc) && limit.Value > 0.8*ahead.LimitA && chargesForHours(p, q):
			f.Level = rules.Advice
			f.Message = fmt.Sprintf("The input limit of %s is %s A and charging runs for hours; %s is good for %s A that long", q.ID, numText(limit.Value), ahead, numText(0.8*ahead.LimitA))
			f.Working = []string{fmt.Sprintf("80 %% × %s A = %s A < %s A", numText(ahead.LimitA), numText(0.8*ahead.LimitA), numText(limit.Value))}
		default:
			continue
		}
		p.Report(f)
	}
}

// smallerStill says to what a limit is turned at outlets smaller than one of some amperes:
// the finding is told once for all of them.
func smallerStill(doc *components.Document, amps float64) string {
	text := ""
	for _, a := range components.Adapters {
		if less := components.ServiceAmps(a); less < amps {
			text += fmt.Sprintf(", at %s A to %s A", numText(less), numText(heldFor(doc, less)))
		}
	}
	return text
}

// chargesForHours tells whether the bank takes three hours or more to fill at the
// charger's full current. An unknown bank or charger counts as such.
func chargesForHours(p *rules.Pass, q components.Part) bool {
	amps := q.Figure("charge_a")
	ah := 0.0
	plus, ok := p.Circuit.At(q.ID, "dc", components.Pos)
	if !ok || !amps.Known() || amps.Value == 0 {
		return !amps.Known()
	}
	for _, b := range p.Doc.Parts() {
		if b.Kind != &components.Battery || b.Gone() {
			continue
		}
		if t, ok := p.Circuit.At(b.ID, "pos", components.Pos); ok && p.Circuit.Net(t) == p.Circuit.Net(plus) {
			f := b.Figure("capacity_ah")
			if !f.Known() {
				return true
			}
			ah += f.Value * b.Figure("parallel").Value
		}
	}
	return ah/amps.Value >= 3
}
