package checks

import (
	"fmt"
	"slices"
	"strings"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// InletMatches asks for one supply assembly whose parts have one rating.
var InletMatches = &rules.Rule{
	ID:    "inlet.matches-assembly",
	Title: "The parts of the shore supply do not match",
	Must:  "A vehicle has one main supply: plug, cord, inlet, protector and main breaker of one rating and pole count, 15, 20 or 30 A at 120 V or 50 A at 120/240 V with four wires.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.46(C), 551.81", Says: "the configurations of plug and inlet", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.44", Says: "one power-supply assembly", Seen: rules.Memory},
	},
	Set:   components.USVehicle,
	Level: rules.Violation, Stateless: true,
	Check: inletMatches,
}

func inletMatches(p *rules.Pass) {
	var inlets []components.Part
	for _, q := range p.Doc.Parts() {
		if q.Kind == &components.Inlet && !q.Gone() && joinedAt(p.Doc, q, []string{"rig"}) {
			inlets = append(inlets, q)
		}
	}
	if len(inlets) > 1 {
		manyInlets(p, inlets)
	}
	for _, q := range inlets {
		alongAssembly(p, q)
		assemblyCord(p, q)
	}
}

// manyInlets speaks where two inlets feed one panel or switch; a generator's own
// inlet behind a transfer switch is another source's.
func manyInlets(p *rules.Pass, inlets []components.Part) {
	reached := make([]map[components.ID]bool, len(inlets))
	for i, q := range inlets {
		reached[i] = supplied(p, q)
		for j, first := range inlets[:i] {
			if bothFeed(p, q, first, reached[i], reached[j]) {
				break
			}
		}
	}
}

// bothFeed reports two inlets that reach the same panels.
func bothFeed(p *rules.Pass, q, first components.Part, one, two map[components.ID]bool) bool {
	var shared []string
	for _, part := range p.Doc.Parts() {
		if part.Kind == &components.Panel && one[part.ID] && two[part.ID] {
			shared = append(shared, string(part.ID))
		}
	}
	if len(shared) == 0 || fedByGenerator(p, q) || fedByGenerator(p, first) {
		return false
	}
	p.Report(rules.Finding{
		At: string(q.ID), Also: []string{string(first.ID)},
		Message: fmt.Sprintf("%s and %s both feed %s: a vehicle has one main supply. Two cords can meet, or carry two phases into one panel", first.ID, q.ID, strings.Join(shared, ", ")),
		Working: []string{"main supply inlets allowed: 1; drawn: " + string(first.ID) + ", " + string(q.ID)},
		Fixes:   []rules.Fix{takeOff(p.Doc, q.ID)},
	})
	return true
}

// supplied are the parts that an inlet's conductors reach inside the rig, its
// neutral among them, whatever stands closed in this state.
func supplied(p *rules.Pass, inlet components.Part) map[components.ID]bool {
	c := p.Circuit
	parts := map[components.ID]bool{}
	var from []circuit.Term
	for _, pole := range []components.Pole{components.L, components.L1, components.L2} {
		if t, ok := c.At(inlet.ID, "rig", pole); ok {
			from = append(from, t)
		}
	}
	for t := range c.Walk(func(l *circuit.Link, o circuit.Term) bool {
		otherInput := l.Join.When == components.OnA && !l.Closed && l.Join.BPort != "out"
		return c.Terms[o].Pole.Hot() && !back(c.Terms[o], *l) && l.Part != inlet.ID && !otherInput
	}, from...).Nearest() {
		parts[c.Terms[t].Part] = true
	}
	return parts
}

// fedByGenerator tells whether a generator's cable plugs into an inlet.
func fedByGenerator(p *rules.Pass, inlet components.Part) bool {
	for _, r := range p.Doc.RunsAt(inlet.Ref("site")) {
		if o, _ := p.Doc.Part(r.Other(inlet.Ref("site")).Part); o.Kind == &components.Generator {
			return true
		}
	}
	return false
}

// alongAssembly holds what stands between an inlet and the first breaker to it,
// and that breaker.
func alongAssembly(p *rules.Pass, inlet components.Part) {
	c := p.Circuit
	rating := inlet.Figure("rating_a").Value
	told := map[string]bool{}
	for _, pole := range []components.Pole{components.L, components.L1, components.L2} {
		from, ok := c.At(inlet.ID, "rig", pole)
		if !ok {
			continue
		}
		runs, devices, _ := toDevices(p, from)
		for _, i := range runs {
			for _, t := range []circuit.Term{c.Links[i].A, c.Links[i].B} {
				q, _ := p.Doc.Part(c.Terms[t].Part)
				if q.Kind == &components.SurgeProtector && !told[string(q.ID)] && askMarked(p, q, "rating_a", fmt.Sprintf("whether it carries what the %s A inlet %s lets in is not: read it off the unit", numText(rating), inlet.ID)) {
					told[string(q.ID)] = true
				}
				if own := q.Figure("rating_a"); q.Kind == &components.SurgeProtector && own.Known() && own.Value < rating && !told[string(q.ID)] {
					told[string(q.ID)] = true
					p.Report(rules.Finding{
						At: string(q.ID), Also: []string{string(inlet.ID)},
						Message: fmt.Sprintf("%s is rated %s A behind the %s A inlet %s", q.ID, numText(own.Value), numText(rating), inlet.ID),
						Working: []string{fmt.Sprintf("%s A < %s A", numText(own.Value), numText(rating))},
					})
				}
			}
		}
		for _, d := range devices {
			if !d.RatingA.Known() || told[d.Address()] {
				continue
			}
			told[d.Address()] = true
			f := rules.Finding{At: d.Address(), Also: []string{string(inlet.ID)}}
			switch {
			case len(devices) > 1:
				continue // several devices share the inlet: each feeds a part of it
			case d.RatingA.Value > rating && slices.ContainsFunc(mainsBehind(p, inlet), func(o rules.Finding) bool { return o.At == d.Address() }):
				continue // overcurrent.main-within-supply
			case d.RatingA.Value > rating:
				f.Message = fmt.Sprintf("%s is %s A behind the %s A inlet %s: it lets more through than plug, cord and inlet carry", d, numText(d.RatingA.Value), numText(rating), inlet.ID)
				f.Working = []string{fmt.Sprintf("%s A > %s A", numText(d.RatingA.Value), numText(rating))}
				if fix, ok := lowerRating(p.Doc, d, rating); ok {
					f.Fixes = []rules.Fix{fix}
				}
				p.Report(f)
			case d.RatingA.Value < rating:
				f.Level = rules.Advice
				f.Message = fmt.Sprintf("%s is %s A behind the %s A inlet %s: the rig never gets what its inlet offers", d, numText(d.RatingA.Value), numText(rating), inlet.ID)
				p.Report(f)
			}
		}
	}
}

// assemblyCord asks that the cord brings every wire that the inlet has, unless a
// smaller outlet feeds it through an adapter.
func assemblyCord(p *rules.Pass, inlet components.Part) {
	ref := inlet.Ref("site")
	_, port, _ := p.Doc.Port(ref)
	for _, r := range p.Doc.RunsAt(ref) {
		far := r.Other(ref)
		src, farPort, ok := p.Doc.Port(far)
		if !ok || src.Kind != &components.Shore || farPort.Has(components.L) != port.Has(components.L) {
			continue // cord.adapter-changes-protection
		}
		brought := map[components.Pole]bool{}
		for _, core := range p.Doc.CoresOf(r) {
			if r.To == ref {
				brought[core.To] = true
			} else {
				brought[core.From] = true
			}
		}
		var missing []string
		for _, pole := range port.Poles {
			if !brought[pole] {
				missing = append(missing, string(pole))
			}
		}
		if len(missing) == 0 {
			continue
		}
		whole := r.Rerouted()
		whole.Cores = nil
		p.Report(rules.Finding{
			At: string(r.ID), Also: []string{string(inlet.ID)},
			Message: fmt.Sprintf("The cord %s does not bring %s to the %s A inlet %s, which has %d wires", r.ID, strings.Join(missing, ", "), numText(inlet.Figure("rating_a").Value), inlet.ID, len(port.Poles)),
			Working: []string{fmt.Sprintf("wires wanted %d, brought %d", len(port.Poles), len(port.Poles)-len(missing))},
			Fixes:   []rules.Fix{{Title: fmt.Sprintf("Use a cord with every wire as %s", r.ID), Edits: []components.Edit{whole}}},
		})
	}
}
