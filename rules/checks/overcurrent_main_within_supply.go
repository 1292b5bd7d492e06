package checks

import (
	"fmt"
	"math"
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// MainWithinSupply asks for a main breaker of the inlet's rating.
var MainWithinSupply = &rules.Rule{
	ID:    "overcurrent.main-within-supply",
	Title: "The main breaker does not suit the inlet",
	Must:  "Between the inlet and a panel stands a breaker that is not larger than the inlet. A panel of one or two circuits may do without.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.45(C), 551.44", Says: "a panel of more than two branch circuits has a main not larger than the power-supply assembly", Seen: rules.Memory},
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.31(D)", Says: "an on-board source larger than the inlet keeps the device of its own feeder", Seen: rules.Memory},
	},
	Level: rules.Danger, Stateless: true,
	Set:   components.USVehicle,
	Check: mainWithinSupply,
}

func mainWithinSupply(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.Inlet || q.Gone() || !q.Figure("rating_a").Known() {
			continue
		}
		for _, f := range mainsBehind(p, q) {
			p.Report(f)
		}
	}
}

// ahead is what a hot has passed on its way from an inlet.
type ahead struct {
	device circuit.Device // the tightest; zero where none was passed
	limit  float64        // +Inf where none was passed, or its rating is not known
}

// mainsBehind is what is wrong with the mains behind an inlet.
func mainsBehind(p *rules.Pass, inlet components.Part) []rules.Finding {
	var found []rules.Finding
	for _, pole := range []components.Pole{components.L, components.L1, components.L2} {
		from, ok := p.Circuit.At(inlet.ID, "rig", pole)
		if !ok {
			continue
		}
		toBars(p, inlet, from, func(panel components.ID, on ahead) {
			f, wrong := holdMain(p, inlet, panel, on)
			if wrong && !slices.ContainsFunc(found, func(o rules.Finding) bool { return o.At == f.At }) {
				found = append(found, f)
			}
		})
	}
	return found
}

// toBars follows a hot of an inlet to the bars of the panels that it feeds, with
// the loosest protection on the way, whatever stands closed in this state.
func toBars(p *rules.Pass, inlet components.Part, from circuit.Term, at func(panel components.ID, on ahead)) {
	c := p.Circuit
	bars := map[components.ID]ahead{}
	loosest := map[circuit.Term]ahead{from: {limit: math.Inf(1)}}
	queue := []circuit.Term{from}
	for len(queue) > 0 {
		t := queue[0]
		queue = queue[1:]
		for _, i := range c.LinksAt(t) {
			l := c.Links[i]
			o := l.Other(t)
			if l.Bond || l.Part == inlet.ID || !c.Terms[o].Pole.Hot() || back(c.Terms[o], l) || c.Terms[t].Port == "bar" && c.Terms[o].Port == "main" {
				continue
			}
			next := loosest[t]
			if d, ok := c.Device(l); ok && (next.device.Part == "" || d.RatingA.Known() && d.RatingA.Value < next.limit) {
				next.device = d
				if d.RatingA.Known() {
					next.limit = d.RatingA.Value
				}
			}
			if old, ok := loosest[o]; !ok || next.limit > old.limit {
				loosest[o] = next
				if c.Terms[o].Port == "bar" {
					bars[l.Part] = next
				}
				queue = append(queue, o)
			}
		}
	}
	for _, q := range p.Doc.Parts() {
		if on, ok := bars[q.ID]; ok {
			at(q.ID, on)
		}
	}
}

// holdMain holds the protection of one panel's bars to the inlet.
func holdMain(p *rules.Pass, inlet components.Part, panel components.ID, on ahead) (f rules.Finding, wrong bool) {
	q, _ := p.Doc.Part(panel)
	rating := inlet.Figure("rating_a").Value
	n, sum := circuitsInUse(p, q)
	switch {
	case on.device.Part == "" && n > 2:
		return rules.Finding{
			At: string(panel), Also: []string{string(inlet.ID)},
			Message: fmt.Sprintf("%s has %d circuits, of %s A together, and no main breaker stands between it and the %s A inlet %s", panel, n, numText(sum), numText(rating), inlet.ID),
			Working: []string{fmt.Sprintf("circuits: %d > 2", n), "breakers from " + string(inlet.ID) + " to the bars of " + string(panel) + ": 0"},
			Fixes:   []rules.Fix{{Title: fmt.Sprintf("Fit a %s A main breaker in %s", numText(rating), panel), Edits: []components.Edit{set(panel, "main_a", components.Num(rating))}}},
		}, true
	case on.device.Part == "":
		return f, false
	case math.IsInf(on.limit, 1):
		return rules.Finding{At: on.device.Address(), Also: []string{string(inlet.ID)}, Unchecked: true,
			Message: fmt.Sprintf("the rating of %s, the main behind %s, is not known: read it off its handle", on.device, inlet.ID)}, true
	case on.limit > rating:
		f = rules.Finding{
			At: on.device.Address(), Also: []string{string(inlet.ID)},
			Message: fmt.Sprintf("%s is %s A behind the %s A inlet %s: it lets more through than cord, plug and inlet carry", on.device, numText(on.limit), numText(rating), inlet.ID),
			Working: []string{fmt.Sprintf("%s A > %s A", numText(on.limit), numText(rating))},
		}
		if n <= 2 {
			f.Level = rules.Violation
		}
		if fix, ok := lowerRating(p.Doc, on.device, rating); ok {
			f.Fixes = []rules.Fix{fix}
		}
		return f, true
	}
	return f, false
}

// circuitsInUse counts a panel's circuits that something hangs on, and adds their
// breakers up.
func circuitsInUse(p *rules.Pass, q components.Part) (n int, sum float64) {
	for i, row := range q.Rows("circuits") {
		if len(p.Doc.RunsAt(q.Ref(fmt.Sprintf("c%d", i+1)))) > 0 {
			n, sum = n+1, sum+row["breaker_a"].Num()
		}
	}
	return n, sum
}
