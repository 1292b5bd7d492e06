package session

import (
	"fmt"

	"rigline/components"
)

// wholeCaravan draws the AC side of a caravan behind one inverter/charger: the
// residual-current main stands behind the unit, so that the unit's own bond of
// neutral to ground lies ahead of it and does not trip it.
func (b *firstSheet) wholeCaravan(feed string) {
	in := b.part(&components.ACBreaker, "Inlet breaker", known("rating_a", b.siteA), told{"opens_neutral", components.Yes(true)})
	b.lead(b.siteA, "nm-b")
	b.run(feed, end(in, "line"))
	b.unit(&components.InverterCharger, false)
	b.lead(b.siteA, "nm-b")
	b.run(end(in, "load"), end(b.inverter, "ac-in"))
	inside, outside := b.fed()
	b.consumerUnit("Consumer unit", end(b.inverter, "ac-out"), inside, b.a.Outlets)
	if len(outside) > 0 {
		b.consumerUnit("Unit for outside power", end(in, "load"), outside, 0)
	}
}

// consumerUnit draws a panel with a residual-current main, its loads and its
// circuits of receptacles.
func (b *firstSheet) consumerUnit(name, feed string, loads []Appliance, outlets int) {
	var rows []components.Spec
	for _, l := range loads {
		rows = append(rows, breakerRow("L1", l.Name, min(l.BreakerA, caravanCircuitA)))
	}
	for i := range outlets {
		rows = append(rows, breakerRow("L1", fmt.Sprintf("Outlets %d", i+1), caravanCircuitA))
	}
	rows = b.poles(rows)
	panel := b.part(&components.Panel, name, append(b.main(b.siteA), num("legs", 1), told{"circuits", components.Table(rows...)})...)
	b.lead(b.siteA, "nm-b")
	b.run(feed, end(panel, "main"))
	b.lead(b.siteA, "thhn")
	b.run(end(panel, "main"), b.chassis, one(components.G))
	for i, row := range rows {
		at := fmt.Sprintf("%s.c%d", panel, i+1)
		b.lead(row["breaker_a"].Num(), "nm-b")
		if i >= len(loads) {
			r := b.part(&components.Receptacle, row["label"].Str(), b.outlet())
			b.run(at, end(r, "in"))
			continue
		}
		spec := []told{known("va", loads[i].VA)}
		for key, v := range loads[i].Spec {
			spec = append(spec, told{key, v})
		}
		load := b.part(&components.ACLoad, loads[i].Name, spec...)
		b.run(at, end(load, "in"))
	}
}

// caravanCircuitA is the breaker of a circuit of a caravan (common practice, no
// source).
const caravanCircuitA = 10
