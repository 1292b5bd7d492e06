package session

import (
	"fmt"

	"rigline/components"
)

// whole draws one inverter/charger ahead of everything: a breaker, the unit, a
// breaker, and the panel. What outside power alone is to feed has a panel ahead of
// the unit, so that it cannot empty the bank.
func (b *firstSheet) whole(feed string, three bool) {
	b.unit(&components.InverterCharger, three)
	inside, outside := b.fed()
	if len(outside) > 0 {
		rows := []components.Spec{breakerRow("L1", "Inverter/charger", b.siteA)}
		if three {
			rows[0] = rows[0].With("leg", components.Str("both"))
		}
		panel := b.panelOf("Panel ahead of the inverter", feed, three, rows, outside, 0)
		b.lead(b.siteA, "nm-b")
		b.run(end(panel, "c1"), end(b.inverter, "ac-in"))
	} else {
		in := b.breaker("Input breaker", three)
		b.lead(b.siteA, "nm-b")
		b.run(feed, end(in, "line"))
		b.run(end(in, "load"), end(b.inverter, "ac-in"))
	}
	out := b.breaker("Output breaker", three)
	b.lead(b.siteA, "nm-b")
	b.run(end(b.inverter, "ac-out"), end(out, "line"))
	b.panelOf("Panel", end(out, "load"), three, nil, inside, max(1, b.a.Outlets))
}

// fed parts the AC loads: those that the bank feeds too, and those that outside power
// alone feeds.
func (b *firstSheet) fed() (inside, outside []Appliance) {
	for _, l := range b.a.Main {
		if v := l.Spec["shore_only"]; v.Known() && v.Truth() {
			outside = append(outside, l)
		} else {
			inside = append(inside, l)
		}
	}
	for i := range b.a.ACCircuits {
		inside = append(inside, Appliance{Name: fmt.Sprintf("AC load %d", i+1)})
	}
	return inside, outside
}

// breaker draws a breaker of the site's rating, across both legs where there are two.
func (b *firstSheet) breaker(name string, three bool) components.ID {
	spec := []told{known("rating_a", b.siteA)}
	if three {
		spec = append(spec, num("hots", 2))
	}
	return b.part(&components.ACBreaker, name, spec...)
}

// panelOf draws a panel with its ground, its loads and its circuits of receptacles,
// behind circuits that are there already.
func (b *firstSheet) panelOf(name, feed string, three bool, rows []components.Spec, loads []Appliance, outlets int) components.ID {
	legs := 1.0
	if three {
		legs = 2
	}
	first := len(rows)
	leg := func() string {
		if three && len(rows)%2 == 1 {
			return "L2"
		}
		return "L1"
	}
	for _, l := range loads {
		rows = append(rows, breakerRow(leg(), l.Name, l.BreakerA))
	}
	for i := range outlets {
		rows = append(rows, breakerRow(leg(), fmt.Sprintf("Outlets %d", i+1), outletA))
	}
	rows = b.poles(rows)
	panel := b.part(&components.Panel, name, append(b.main(b.siteA), num("legs", legs), told{"circuits", components.Table(rows...)})...)
	b.lead(b.siteA, "nm-b")
	b.run(feed, end(panel, "main"))
	b.lead(b.siteA, "thhn")
	b.run(end(panel, "main"), b.chassis, one(components.G))
	b.branches(panel, first, loads, outlets)
	return panel
}

// load draws a load on a circuit.
func (b *firstSheet) load(at string, l Appliance) {
	spec := []told{known("va", l.VA)}
	for key, v := range l.Spec {
		spec = append(spec, told{key, v})
	}
	load := b.part(&components.ACLoad, l.Name, spec...)
	b.run(at, end(load, "in"))
}
