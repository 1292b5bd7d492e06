package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// InverterCapacity holds an inverter to what it feeds.
var InverterCapacity = &rules.Rule{
	ID:    "load.inverter-capacity",
	Title: "The inverter is too small for what it feeds",
	Must:  "What an inverter feeds fits its continuous power, and the largest start beside it fits its surge power.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "710.15(A)", Says: "the source is at least as large as the largest single load", Seen: rules.Published},
	},
	Level: rules.Advice,
	Check: inverterCapacity,
}

func inverterCapacity(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		if q.Gone() || p.Circuit.Positions[q.ID] != circuit.Inverting {
			continue
		}
		rating := q.Figure("continuous_va")
		fed, starter, extra := fedLoads(p, q)
		if len(fed) == 0 || !rating.Known() {
			continue // the DC rules ask for the power of an inverter
		}
		sum, largest, name := 0.0, 0.0, components.ID("")
		for _, l := range fed {
			va := l.Figure("va").Value
			sum += va
			if va > largest {
				largest, name = va, l.ID
			}
		}
		switch {
		case largest > rating.Value:
			p.Report(rules.Finding{At: string(q.ID), Also: []string{string(name)}, Level: rules.Violation, Fixes: offWhileInverting(p, q, name),
				Message: fmt.Sprintf("%s alone takes %s VA; %s gives %s VA", name, numText(largest), q.ID, numText(rating.Value)),
				Working: []string{fmt.Sprintf("%s VA > %s VA", numText(largest), numText(rating.Value))}})
		case sum > rating.Value:
			p.Report(rules.Finding{At: string(q.ID), Fixes: offWhileInverting(p, q, name),
				Message: fmt.Sprintf("What %s feeds takes %s VA with everything on; it gives %s VA: choose what runs together, or move resistance heat off it", q.ID, numText(sum), numText(rating.Value)),
				Working: []string{fmt.Sprintf("sum of the loads %s VA > %s VA", numText(sum), numText(rating.Value))}})
		}
		surge := q.Figure("surge_va")
		for _, l := range fed {
			askMarked(p, l, "start_va", fmt.Sprintf("whether %s starts it is not: read its locked-rotor current off the plate, or measure it with a meter that holds the peak", q.ID))
		}
		askMarked(p, q, "surge_va", "whether it starts the loads on it, and what its fuses and its bank are then asked for, is not: read its data sheet")
		if !surge.Known() || starter == "" {
			continue
		}
		rest := math.Min(sum, rating.Value) // what the person lets run together fits the unit
		if l, _ := p.Doc.Part(starter); rest-l.Figure("va").Value+l.Figure("start_va").Value > surge.Value {
			start := l.Figure("start_va").Value
			p.Report(rules.Finding{At: string(q.ID), Also: []string{string(starter)}, Fixes: offWhileInverting(p, q, starter),
				Message: fmt.Sprintf("%s starts with %s VA beside the rest; %s surges to %s VA: fit a soft starter, or start it alone", starter, numText(start), q.ID, numText(surge.Value)),
				Working: []string{fmt.Sprintf("rest %s VA + start %s VA = %s VA > %s VA (start %s VA above running)", numText(rest-l.Figure("va").Value), numText(start), numText(rest-l.Figure("va").Value+start), numText(surge.Value), numText(extra))}})
		}
	}
}

// fedLoads are the loads on an inverter's output that are on in this state, and
// the one whose start adds most.
func fedLoads(p *rules.Pass, inv components.Part) (fed []components.Part, starter components.ID, extra float64) {
	for _, l := range p.Doc.Parts() {
		if l.Kind != &components.ACLoad || l.Gone() || !l.Figure("va").Known() {
			continue
		}
		if _, runs := p.Solution().Flows[l.ID]; !runs {
			continue
		}
		src, ok := invertingSource(p, l, "in")
		if !ok || src.ID != inv.ID {
			continue
		}
		fed = append(fed, l)
		if start := l.Figure("start_va"); start.Known() && start.Value-l.Figure("va").Value > extra {
			starter, extra = l.ID, start.Value-l.Figure("va").Value
		}
	}
	return fed, starter, extra
}

// offWhileInverting takes a load off an inverter: to a panel that it does not feed,
// or off while it inverts.
func offWhileInverting(p *rules.Pass, inv components.Part, id components.ID) []rules.Fix {
	l, _ := p.Doc.Part(id)
	var fixes []rules.Fix
	if fix, ok := toOtherPanel(p, l, "in", inv); ok {
		fixes = append(fixes, fix)
	}
	return append(fixes, switchOff(p, id, func(s *rules.Pass) bool { return s.Circuit.Positions[inv.ID] == circuit.Inverting }))
}
