package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// PanelRating holds the bars of a panel to what feeds them.
var PanelRating = &rules.Rule{
	ID:    "panel.rating-covers-supply",
	Title: "A panel's bars are rated below what feeds them",
	Must:  "The bars of a panel are rated for the breaker that feeds them, its own main or the one ahead.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2020", Clause: "408.36, 551.42(C), 551.42(D), 551.45(A)", Says: "a panelboard is protected at its rating; 550.11 says the same for manufactured homes", Seen: rules.Memory},
	},
	Level: rules.Violation, OnePerPlace: true,
	Check: panelRating,
}

func panelRating(p *rules.Pass) {
	for i, l := range p.Circuit.Links {
		q, _ := p.Doc.Part(l.Part)
		if q.Kind != &components.Panel || l.Join.BPort != "bar" || !l.Join.APole.Hot() || !l.Closed {
			continue
		}
		for _, f := range p.Feeds()[i] {
			holdBars(p, q, l, f)
		}
	}
}

func holdBars(p *rules.Pass, q components.Part, l circuit.Link, f circuit.Feed) {
	limit, device, text := f.LimitA, f.Device, f.String()
	if own, ok := p.Circuit.Device(l); ok && own.RatingA.Known() && own.RatingA.Value <= limit {
		limit, device, text = own.RatingA.Value, &own, fmt.Sprintf("%s, %s A", own, numText(own.RatingA.Value))
	}
	if math.IsInf(limit, 1) {
		return // the rules of devices and sources ask for the rating
	}
	bus := q.Figure("bus_a")
	if !bus.Known() {
		p.Unchecked(string(q.ID), fmt.Sprintf("bus_a of %s is not known: read the label inside its door", q.ID))
		return
	}
	if bus.Value >= limit {
		return
	}
	find := rules.Finding{
		At:      string(q.ID),
		Message: fmt.Sprintf("The bars of %s are rated %s A, but %s feeds them", q.ID, numText(bus.Value), text),
		Working: []string{fmt.Sprintf("%s A < %s A", numText(bus.Value), numText(limit))},
	}
	if device.Part != "" {
		find.Also = []string{device.Address()}
	}
	for _, size := range []float64{50, 60, 100, 125, 200} {
		if size >= limit {
			find.Fixes = []rules.Fix{{Title: fmt.Sprintf("Fit a panel of %s A as %s", numText(size), q.ID), Edits: []components.Edit{set(q.ID, "bus_a", components.Num(size))}}}
			break
		}
	}
	if device.Part != "" {
		if fix, ok := lowerRating(p.Doc, *device, bus.Value); ok {
			find.Fixes = append(find.Fixes, fix)
		}
	}
	p.Report(find)
}
