package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// SupportsCharger holds charging and what runs with it to the generator's rating.
var SupportsCharger = &rules.Rule{
	ID:    "energy.generator-supports-charger",
	Title: "A generator cannot carry charging and the loads with it",
	Must:  "The chargers' input and the loads that run for hours stay within the rating of the generator that feeds them, and better within 80 % of it.",
	Basis: []rules.Basis{
		{Source: "80 % of a set's rating for what runs for hours; a charger's power factor of 0.98", Seen: rules.Practice},
	},
	Level: rules.Violation,
	Check: supportsCharger,
}

// chargerPF is the power factor of a charger's input.
const chargerPF = 0.98

func supportsCharger(p *rules.Pass) {
	if !p.State.Generator {
		return
	}
	for _, gen := range p.Doc.Parts() {
		if gen.Kind != &components.Generator || gen.Gone() {
			continue
		}
		sets, loads := feedsFrom(p, gen)
		if len(sets) == 0 {
			continue
		}
		rating := gen.Figure("rating_va")
		if !rating.Known() {
			p.Unchecked(string(gen.ID), fmt.Sprintf("rating_va of %s is not known, and it has to charge the bank: read its plate", gen.ID))
			continue
		}
		generatorCharges(p, gen, rating.Value, sets, loads)
	}
}

// feedsFrom is the chargers and the loads for hours that a generator feeds.
func feedsFrom(p *rules.Pass, gen components.Part) (chargers, loads []components.Part) {
	for _, q := range p.Doc.Parts() {
		port := ""
		switch {
		case q.Gone():
		case q.Kind == &components.Charger:
			port = "ac-in"
		case q.Kind == &components.InverterCharger && p.Circuit.Positions[q.ID] == circuit.Passing && !(q.Figure("charge_a").Known() && q.Figure("charge_a").Value == 0):
			port = "ac-in"
		case q.Kind == &components.ACLoad && q.Is("continuous") && q.Figure("va").Known():
			port = "in"
		}
		for _, pole := range []components.Pole{components.L, components.L1, components.L2} {
			t, ok := p.Circuit.At(q.ID, port, pole)
			if !ok || !aliveFrom(p, t, gen.ID) {
				continue
			}
			if port == "in" {
				loads = append(loads, q)
			} else {
				chargers = append(chargers, q)
			}
			break
		}
	}
	return chargers, loads
}

func aliveFrom(p *rules.Pass, t circuit.Term, source components.ID) bool {
	for _, s := range p.Circuit.Feeds(t) {
		if s.Part == source {
			return true
		}
	}
	return false
}

func generatorCharges(p *rules.Pass, gen components.Part, rating float64, chargers, loads []components.Part) {
	sum := 0.0
	var working, also []string
	for _, q := range loads {
		sum += q.Figure("va").Value
		working, also = append(working, fmt.Sprintf("%s %s VA", q.ID, numText(q.Figure("va").Value))), append(also, string(q.ID))
	}
	beside := sum
	var set components.Part // the charger to turn down
	var vaPerAmp float64
	for _, q := range chargers {
		amps, eff, volts := q.Figure("charge_a"), q.Figure("efficiency"), chargerVolts(p, q)
		if !amps.Known() || volts == 0 {
			p.Unchecked(string(q.ID), fmt.Sprintf("charge_a or dc_v of %s is not known, so what it asks of %s is not: read its label", q.ID, gen.ID), string(gen.ID))
			return
		}
		va := amps.Value * volts / (eff.Value * chargerPF)
		step := fmt.Sprintf("%s: %s A × %s V / (%v × %v) = %s VA", q.ID, numText(amps.Value), numText(volts), eff.Value, chargerPF, numText(va))
		if limit := q.Figure("input_limit_a"); limit.Known() && limit.Value*120 < va {
			va = limit.Value * 120
			step += fmt.Sprintf(", held to %s VA by its input limit of %s A", numText(va), numText(limit.Value))
		} else if set.Kind == nil || amps.Value > set.Figure("charge_a").Value {
			set, vaPerAmp = q, va/amps.Value
		}
		sum += va
		working, also = append(working, step), append(also, string(q.ID))
	}
	if sum <= 0.8*rating*1.001 {
		return
	}
	f := rules.Finding{
		At: string(gen.ID), Also: also,
		Message: fmt.Sprintf("Charging and the loads with it ask %s VA of %s; it is rated %s VA", numText(sum), gen.ID, numText(rating)),
		Working: append(working, fmt.Sprintf("together %s VA; rated %s VA, 80 %% is %s VA", numText(sum), numText(rating), numText(0.8*rating))),
	}
	if sum <= rating*1.001 {
		f.Level = rules.Advice
		f.Message = fmt.Sprintf("Charging and the loads with it ask %s VA of %s for hours; 80 %% of its %s VA is %s VA", numText(sum), gen.ID, numText(rating), numText(0.8*rating))
	}
	if set.Kind != nil && beside < 0.8*rating {
		over := sum - 0.8*rating
		if want := math.Floor(set.Figure("charge_a").Value - over/vaPerAmp); want >= 5 {
			f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Set the charge current of %s to %s A", set.ID, numText(want)), Edits: []components.Edit{setCharge(set.ID, want)}}}
		}
	}
	p.Report(f)
}

func setCharge(id components.ID, amps float64) components.Edit {
	return set(id, "charge_a", components.Num(amps))
}

// chargerVolts is the voltage at which a charger gives its current: what it is
// set to, or 14.4 V for each 12 V class; 0 where neither is known.
func chargerVolts(p *rules.Pass, q components.Part) float64 {
	if set := q.Figure("absorb_v"); set.Known() {
		return set.Value
	}
	v := q.Figure("dc_v")
	if !v.Known() {
		return 0
	}
	return 1.2 * components.VoltClass(v.Value)
}
