package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// LeadsNowhere finds a source, a charger or a battery that is wired on one side and
// leads to nothing on the other.
var LeadsNowhere = &rules.Rule{
	ID:    "supply.leads-nowhere",
	Title: "A source or charger leads to nothing",
	Must:  "From each source a conductor leads to something that uses it, and from each charger, controller and converter to a battery or a load: where a run is missing, the part is dead, and no rule has looked at what it would feed. A part that nothing is joined to yet is not meant.",
	Basis: []rules.Basis{{Source: "what is not joined cannot be checked", Seen: rules.Practice}},
	Level: rules.Violation, Stateless: true,
	Check: leadsNowhere,
}

func leadsNowhere(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		if q.Gone() || !joinedAnywhere(p.Doc, q) {
			continue
		}
		for _, port := range givesAt(q) {
			if reachesUse(p, q, port) || belowAnother(p, q) {
				continue
			}
			p.Report(rules.Finding{
				At:      string(q.ID),
				Message: fmt.Sprintf("No conductor leads from %s of %s to anything that takes what it gives: draw the run, or take the part off the drawing", port, q.ID),
				Working: []string{fmt.Sprintf("loads, chargers and batteries that live conductors of %s lead to, in any position of switches: 0", q.Ref(port))},
				Fixes:   []rules.Fix{takeOff(p.Doc, q.ID)},
			})
		}
	}
}

func joinedAnywhere(doc *components.Document, q components.Part) bool {
	for _, r := range doc.RunsOf(q.ID) {
		if !r.Gone() {
			return true
		}
	}
	return false
}

// belowAnother tells whether a battery or an array stands below another in series.
func belowAnother(p *rules.Pass, q components.Part) bool {
	if q.Kind == &components.SolarArray {
		return stringOf(p, q).ID != q.ID
	}
	if q.Kind != &components.Battery {
		return false
	}
	doc := p.Doc
	for _, r := range doc.RunsAt(q.Ref("pos")) {
		above := r.Other(q.Ref("pos"))
		if o, _ := doc.Part(above.Part); !r.Gone() && o.Kind == &components.Battery && !o.Gone() && above.Port == "neg" {
			return true
		}
	}
	return false
}

// givesAt are the ports at which a part gives power to others.
func givesAt(q components.Part) []string {
	switch q.Kind {
	case &components.Shore, &components.Generator, &components.Alternator, &components.SolarArray, &components.DCConverter, &components.DCCharger:
		return []string{"out"}
	case &components.Inverter, &components.InverterCharger:
		return []string{"ac-out"}
	case &components.SolarController:
		return []string{"battery"}
	case &components.Charger:
		return []string{"dc"}
	case &components.Battery:
		return []string{"pos"}
	}
	return nil
}

// reachesUse follows the live conductors of a port over every contact, whatever its
// position, to a part that takes what it gives.
func reachesUse(p *rules.Pass, q components.Part, port string) bool {
	var start []circuit.Term
	for _, pole := range []components.Pole{components.L, components.L1, components.L2, components.Pos} {
		if t, ok := p.Circuit.At(q.ID, port, pole); ok {
			start = append(start, t)
		}
	}
	return len(start) == 0 || usesBeyond(p, q, start...)
}

// usesBeyond does so from some of its terminals. What joins the terminals of a supply
// itself, as an adapter the legs of a site's, leads to nobody.
func usesBeyond(p *rules.Pass, q components.Part, start ...circuit.Term) bool {
	c := p.Circuit
	on := func(l *circuit.Link, o circuit.Term) bool {
		within, _ := p.Doc.Part(l.Part)
		pole := c.Terms[o].Pole
		return (pole.Hot() || pole == components.Pos) && l.Part != q.ID && (within.Kind == nil || within.Kind.Role != components.Supplies)
	}
	for t := range c.Walk(on, start...).Nearest() {
		o, _ := p.Doc.Part(c.Terms[t].Part)
		if o.ID != q.ID && !o.Gone() && takesAt(q, o, c.Terms[t].Port) {
			return true
		}
	}
	return false
}

// takesAt tells whether a part takes at a port what another gives.
func takesAt(from, q components.Part, port string) bool {
	switch q.Kind {
	case &components.ACLoad, &components.Receptacle, &components.DCLoad:
		return true
	case &components.Charger, &components.InverterCharger:
		return port == "ac-in" || port == "dc"
	case &components.Inverter:
		return port == "dc"
	case &components.Battery: // another of its bank uses nothing
		return port == "pos" && from.Kind != &components.Battery
	case &components.DCCharger, &components.DCConverter:
		return port == "in"
	case &components.SolarController:
		return port == "pv" && from.Kind == &components.SolarArray
	}
	return false
}
