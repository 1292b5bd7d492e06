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
	Must:  "What an inverter feeds fits its continuous power, of an inverter of two opposite legs half of it on each leg, and the largest start beside it fits its surge power. How much less a hot compartment leaves is for its maker's curve, which is not held here.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "710.15(A)", Says: "the source is at least as large as the largest single load", Seen: rules.Published},
		{Source: "an inverter of two opposite legs gives each half of its power, unless its maker says more", Seen: rules.Practice},
	},
	Level: rules.Advice,
	Check: inverterCapacity,
}

func inverterCapacity(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		if q.Gone() || p.Circuit.Positions[q.ID] != circuit.Inverting {
			continue
		}
		rating, surge := together(p, q, "continuous_va"), together(p, q, "surge_va")
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
		default:
			legCapacity(p, q, fed)
		}
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

// together is a figure of an inverter and of those that share its output, as one; it is not
// known where one of them lacks it.
func together(p *rules.Pass, inv components.Part, key string) components.Figure {
	sum := inv.Figure(key)
	for _, s := range p.Circuit.Sources {
		if s.Part != inv.ID || !s.Shares {
			continue
		}
		for _, o := range p.Circuit.Feeds(s.Hot) {
			if q, _ := p.Doc.Part(o.Part); o.Shares && q.ID != inv.ID {
				more := q.Figure(key)
				sum.Value += more.Value
				sum.From = min(sum.From, more.From)
			}
		}
		break
	}
	return sum
}

// legCapacity holds each leg of an inverter of two opposite legs to its half: each is a
// winding or a bridge of its own, and what one leg does not use the other cannot give.
func legCapacity(p *rules.Pass, q components.Part, fed []components.Part) {
	if q.Word("inverts") != "both-split" {
		return
	}
	half := q.Figure("continuous_va").Value / 2
	legs, largest := map[components.Pole]float64{}, map[components.Pole]components.Part{}
	for _, l := range fed {
		for _, pole := range poles(l) {
			t, _ := p.Circuit.At(l.ID, "in", pole)
			src, ok := inverterAt(p, t)
			if !ok {
				continue
			}
			leg := p.Circuit.Terms[src.Hot].Pole
			legs[leg] += l.Figure("va").Value / float64(len(poles(l)))
			if one, found := largest[leg]; !found || l.Figure("va").Value > one.Figure("va").Value {
				largest[leg] = l
			}
		}
	}
	for _, leg := range []components.Pole{components.L1, components.L2} {
		if legs[leg] <= half {
			continue
		}
		f := rules.Finding{At: string(q.ID), Fixes: offWhileInverting(p, q, largest[leg].ID),
			Message: fmt.Sprintf("What hangs on %s of %s takes %s VA with everything on; a leg gives half of %s VA: move a load to the other leg, or choose what runs together", leg, q.ID, numText(legs[leg]), numText(2*half)),
			Working: []string{fmt.Sprintf("%s: %s VA > %s VA ÷ 2 = %s VA", leg, numText(legs[leg]), numText(2*half), numText(half))}}
		if one := largest[leg]; len(poles(one)) == 1 && one.Figure("va").Value > half {
			f.Level, f.Also = rules.Violation, []string{string(one.ID)}
			f.Message = fmt.Sprintf("%s alone takes %s VA on %s of %s; a leg gives half of %s VA", one.ID, numText(one.Figure("va").Value), leg, q.ID, numText(2*half))
		}
		p.Report(f)
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
