package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// GFCILocations asks for ground-fault protection where people are wet or outside.
var GFCILocations = &rules.Rule{
	ID:    "gfci.protected-locations",
	Title: "An outlet has no ground-fault protection",
	Must:  "15 and 20 A outlets outside, in the bathroom and within 6 ft (1.8 m) of a sink have ground-fault protection in the vehicle; a vehicle of a single 15 or 20 A circuit has it where the supply comes in; and where an inverter's manual asks for it, every outlet that the inverter feeds has it.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.41(C)", Says: "the places (the list is from memory)", Seen: rules.Memory},
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.40(C)", Says: "a vehicle of one 15 or 20 A branch circuit: at the point of entry", Seen: rules.Memory},
		{Source: "UL 458", Says: "protection on the output circuits where the listing asks for it", Seen: rules.Published},
	},
	Set:   components.USVehicle,
	Level: rules.Violation,
	Check: gfciLocations,
}

func gfciLocations(p *rules.Pass) {
	if p.First() {
		singleCircuit(p)
	}
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.Receptacle || q.Gone() || q.Is("gfci") {
			continue
		}
		if rating := q.Figure("rating_a"); rating.Known() && rating.Value > 20 {
			continue
		}
		hot, ok := p.Circuit.At(q.ID, "in", components.L)
		if !ok || !p.Circuit.Live(hot) || protectedAhead(p, hot) {
			continue
		}
		where := q.Word("location")
		why := map[string]string{"outside": "stands outside", "bathroom": "stands in the bathroom", "sink": "stands within 6 ft (1.8 m) of a sink"}[where]
		if inv, ok := invertingSource(p, q, "in"); ok && inv.Is("output_gfci") {
			why = fmt.Sprintf("is fed by %s, whose manual asks for ground-fault protection", inv.ID)
		}
		switch {
		case why != "" && q.Told("gfci").IsUnknown():
			p.Unchecked(string(q.ID), fmt.Sprintf("gfci of %s is not known, and it %s: look for a test button on it", q.ID, why))
		case why != "":
			p.Report(rules.Finding{
				At:      string(q.ID),
				Message: fmt.Sprintf("%s %s and nothing in the vehicle protects it against a ground fault", q.ID, why),
				Working: []string{"ground-fault devices on the way to " + string(q.ID) + ": 0"},
				Fixes:   protectOutlet(p, q, hot),
			})
		case where == "":
			p.Unchecked(string(q.ID), fmt.Sprintf("location of %s is not told and nothing protects it against a ground fault: tell where it is, inside, bathroom, sink (within 6 ft of one) or outside", q.ID))
		}
	}
}

// protectedAhead tells whether every way from a live source to a terminal leads
// through a ground-fault device of the vehicle. The site's own does not count: the
// next site may have none.
func protectedAhead(p *rules.Pass, hot circuit.Term) bool {
	return !circuit.Lasting(p.Circuit, unguardedKey{}, func() map[circuit.Term]bool { return unguarded(p.Circuit) })[hot]
}

type unguardedKey struct{}

// unguarded is every terminal that a live source reaches through no ground-fault device.
func unguarded(c *circuit.Circuit) map[circuit.Term]bool {
	var hots []circuit.Term
	for _, s := range c.Sources {
		hots = append(hots, s.Hot)
	}
	return c.Walk(func(l *circuit.Link, _ circuit.Term) bool { return l.Closed && !c.GroundFault(*l) }, hots...).Reached()
}

// protectOutlet fits a ground-fault outlet, or a ground-fault breaker on its circuit.
func protectOutlet(p *rules.Pass, q components.Part, hot circuit.Term) []rules.Fix {
	fixes := []rules.Fix{{Title: fmt.Sprintf("Fit a ground-fault outlet as %s", q.ID), Edits: []components.Edit{set(q.ID, "gfci", components.Yes(true))}}}
	if f, ok := loosestAhead(p, hot); ok && f.HasDevice() {
		if fix, ok := groundFaultBreaker(p, *f.Last); ok {
			fixes = append(fixes, fix)
		}
	}
	return fixes
}

// groundFaultBreaker makes a branch device a ground-fault one.
func groundFaultBreaker(p *rules.Pass, d circuit.Device) (rules.Fix, bool) {
	part, _ := p.Doc.Part(d.Part)
	title := fmt.Sprintf("Fit a ground-fault breaker as %s", d)
	switch {
	case part.Kind == &components.ACBreaker:
		return rules.Fix{Title: title, Edits: []components.Edit{set(d.Part, "gfci", components.Yes(true))}}, true
	case part.Kind == &components.Panel && d.Place != "main":
		rows := part.Rows("circuits")
		changed := make([]components.Spec, len(rows))
		for i, row := range rows {
			changed[i] = row
			if fmt.Sprintf("c%d", i+1) == d.Place {
				changed[i] = row.With("gfci", components.Yes(true))
			}
		}
		return rules.Fix{Title: title, Edits: []components.Edit{set(d.Part, "circuits", components.Table(changed...))}}, true
	}
	return rules.Fix{}, false
}

// singleCircuit asks for protection at the entry of a vehicle of one 15 or 20 A
// branch circuit.
func singleCircuit(p *rules.Pass) {
	var panel components.Part
	n, breaker := 0, components.Figure{}
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.Panel || q.Gone() {
			continue
		}
		for i, row := range q.Rows("circuits") {
			if len(p.Doc.RunsAt(q.Ref(fmt.Sprintf("c%d", i+1)))) == 0 {
				continue
			}
			n++
			panel = q
			if row["breaker_a"].Known() {
				breaker = components.Figure{Value: row["breaker_a"].Num(), From: components.Given}
			}
		}
	}
	small := false
	for _, q := range p.Doc.Parts() {
		small = small || q.Kind == &components.Inlet && !q.Gone() && q.Figure("rating_a").Value <= 20
	}
	if n == 0 && small {
		singleBreaker(p)
	}
	if n != 1 || !breaker.Known() || breaker.Value > 20 {
		return
	}
	hot, ok := p.Circuit.At(panel.ID, "bar", components.L)
	if !ok {
		hot, ok = p.Circuit.At(panel.ID, "bar", components.L1)
	}
	if !small || !ok || hasGroundFault(p, panel) || protectedAhead(p, hot) {
		return
	}
	f := rules.Finding{
		At:      string(panel.ID),
		Message: fmt.Sprintf("The vehicle has a single %s A circuit and no ground-fault protection where its supply comes in", numText(breaker.Value)),
		Working: []string{"branch circuits: 1; ground-fault devices ahead of it: 0"},
	}
	for i := range panel.Rows("circuits") {
		if place := fmt.Sprintf("c%d", i+1); len(p.Doc.RunsAt(panel.Ref(place))) > 0 {
			if fix, ok := groundFaultBreaker(p, circuit.Device{Part: panel.ID, Place: place}); ok {
				f.Fixes = append(f.Fixes, fix)
			}
		}
	}
	p.Report(f)
}

// singleBreaker asks the same of a vehicle without a panel, whose loads and outlets all
// hang on one breaker.
func singleBreaker(p *rules.Pass) {
	var one circuit.Device
	var hot circuit.Term
	for _, q := range p.Doc.Parts() {
		if q.Gone() || usesPort(q) == "" {
			continue
		}
		t, ok := p.Circuit.At(q.ID, usesPort(q), components.L)
		if !ok {
			continue
		}
		f, fed := loosestAhead(p, t)
		if !fed || f.Last.Part == "" || q.Is("gfci") {
			continue // overcurrent.every-line-at-source, or protected by itself
		}
		if one.Part != "" && one.At() != f.Last.At() {
			return
		}
		one, hot = *f.Last, t
	}
	if one.Part == "" || !one.RatingA.Known() || one.RatingA.Value > 20 || protectedAhead(p, hot) {
		return
	}
	f := rules.Finding{
		At:      one.Address(),
		Message: fmt.Sprintf("The vehicle has a single %s A circuit and no ground-fault protection where its supply comes in", numText(one.RatingA.Value)),
		Working: []string{"branch circuits: 1; ground-fault devices ahead of it: 0"},
	}
	if fix, ok := groundFaultBreaker(p, one); ok {
		f.Fixes = []rules.Fix{fix}
	}
	p.Report(f)
}

// hasGroundFault tells whether the one circuit of a panel is a ground-fault one.
func hasGroundFault(p *rules.Pass, panel components.Part) bool {
	for i, row := range panel.Rows("circuits") {
		if len(p.Doc.RunsAt(panel.Ref(fmt.Sprintf("c%d", i+1)))) > 0 && !row["gfci"].Truth() {
			return false
		}
	}
	return true
}
