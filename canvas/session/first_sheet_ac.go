package session

import (
	"fmt"
	"slices"

	"rigline/components"
)

// ac draws the supplies, the switch between them, the main panel, the inverter and
// the panel that it feeds.
func (b *firstSheet) ac() {
	feed, three := b.supply()
	kind, _ := components.FindKind(b.a.Inverter)
	if b.doc.Basis == components.Caravan && kind == &components.InverterCharger && feed != "" {
		b.wholeCaravan(feed)
		return
	}
	if b.a.Whole != "" && kind == &components.InverterCharger && feed != "" {
		b.whole(feed, three)
		return
	}
	if kind != nil {
		b.unit(kind, three)
	}
	if feed != "" {
		b.mainPanel(feed, three, kind)
	} else if kind == nil {
		return
	}
	if b.inverter != "" {
		var rows []components.Spec
		for i := range max(1, b.a.Outlets) {
			rows = append(rows, breakerRow("L1", fmt.Sprintf("Outlets %d", i+1), outletA))
		}
		rows = b.poles(rows)
		panel := b.part(&components.Panel, "Inverter panel", append(b.main(0), num("legs", 1), told{"circuits", components.Table(rows...)})...)
		b.lead(max(20, min(b.siteA, 30)), "nm-b")
		b.run(end(b.inverter, "ac-out"), end(panel, "main"))
		b.lead(outletA, "nm-b")
		for i := range rows {
			r := b.part(&components.Receptacle, fmt.Sprintf("Outlets %d", i+1), b.outlet())
			b.run(fmt.Sprintf("%s.c%d", panel, i+1), end(r, "in"))
		}
	}
}

// supply draws where AC comes from and gives the port that it leaves by.
func (b *firstSheet) supply() (feed string, three bool) {
	three = components.ThreeWire(b.a.Supply)
	if b.a.Supply != "" {
		shore := b.part(&components.Shore, "Site outlet", str("service", b.a.Supply))
		b.lead(b.siteA, "cord-shore")
		inlet := b.part(&components.Inlet, "Shore inlet", num("rating_a", components.ServiceAmps(b.a.Supply)))
		b.run(end(shore, "out"), end(inlet, "site"))
		feed = end(inlet, "rig")
		if b.a.Protector {
			sp := b.part(&components.SurgeProtector, "Supply protector", num("rating_a", max(15, components.ServiceAmps(b.a.Supply))))
			b.lead(b.siteA, "nm-b")
			b.run(feed, end(sp, "line"))
			feed = end(sp, "load")
		}
	}
	if !b.a.Generator {
		return feed, three
	}
	legs := "one"
	if three {
		legs = "opposite"
	}
	gen := b.part(&components.Generator, "Generator", str("legs", legs), told{"bonded", components.Unknown})
	if feed == "" {
		return end(gen, "out"), false
	}
	switched := []string{"L", "N"}
	if three {
		switched = []string{"L1", "L2", "N"}
	}
	ts := b.part(&components.TransferSwitch, "Transfer switch", told{"switches", components.Words(switched...)})
	b.lead(b.siteA, "nm-b")
	b.run(feed, end(ts, "a"))
	b.run(end(gen, "out"), end(ts, "b"))
	return end(ts, "out"), three
}

// main tells the panel's main breaker where it is known. In a caravan a new one
// trips on 30 mA and opens the neutral too, as it has to (IEC 60364-7-721, from
// memory); one that is there already is looked at first.
func (b *firstSheet) main(amps float64) []told {
	open := []told{known("main_a", amps)}
	if b.doc.Basis == components.Caravan {
		if b.acIsThere() {
			return append(open, told{"main_trip_ma", components.Unknown}, told{"main_opens_neutral", components.Unknown})
		}
		open = append(open, num("main_trip_ma", 30), told{"main_opens_neutral", components.Yes(true)})
	}
	return open
}

// mainPanel draws the panel on site or generator power: what charges the bank
// first, then the circuits; those of receptacles too where no inverter feeds them.
func (b *firstSheet) mainPanel(feed string, three bool, inverter *components.Kind) {
	legs := 1.0
	if three {
		legs = 2
	}
	var rows []components.Spec
	chargeA := min(b.siteA, 30)
	charger := components.ID("")
	switch {
	case inverter == &components.InverterCharger:
		rows = append(rows, breakerRow("L1", "Inverter/charger", chargeA))
	case !b.a.NoCharger:
		charger = b.part(&components.Charger, "Charger", num("dc_v", b.a.BankV), known("charge_a", b.a.ChargerA))
		chargeA = min(chargeA, chargerBreaker(b.a.ChargerA, b.a.BankV))
		rows = append(rows, breakerRow("L1", "Charger", chargeA))
	}
	first := len(rows)
	leg := func() string {
		if three && len(rows)%2 == 1 {
			return "L2"
		}
		return "L1"
	}
	loads := slices.Clone(b.a.Main)
	for i := range b.a.ACCircuits {
		loads = append(loads, Appliance{Name: fmt.Sprintf("AC load %d", i+1)})
	}
	outlets := 0
	if inverter == nil {
		outlets = b.a.Outlets
	}
	for _, l := range loads {
		rows = append(rows, breakerRow(leg(), l.Name, l.BreakerA))
	}
	for i := range outlets {
		rows = append(rows, breakerRow(leg(), fmt.Sprintf("Outlets %d", i+1), outletA))
	}
	rows = b.poles(rows)
	panel := b.part(&components.Panel, "Main panel", append(b.main(b.siteA), num("legs", legs), told{"circuits", components.Table(rows...)})...)
	b.lead(b.siteA, "nm-b")
	b.run(feed, end(panel, "main"))
	b.lead(b.siteA, "thhn")
	b.run(end(panel, "main"), b.chassis, one(components.G))
	b.lead(chargeA, "nm-b")
	switch {
	case charger != "":
		b.run(end(panel, "c1"), end(charger, "ac-in"))
		b.lead(mainFuse(b.a.ChargerA), "battery-105")
		b.run(end(charger, "case"), b.chassis)
		b.charge(end(charger, "dc"), "Charger fuse", b.a.ChargerA)
	case inverter == &components.InverterCharger:
		b.run(end(panel, "c1"), end(b.inverter, "ac-in"))
	}
	b.branches(panel, first, loads, outlets)
}

// branches draws what hangs on a panel's circuits, from a row on.
func (b *firstSheet) branches(panel components.ID, first int, loads []Appliance, outlets int) {
	for i := range loads {
		b.lead(loads[i].BreakerA, "nm-b")
		b.load(fmt.Sprintf("%s.c%d", panel, first+i+1), loads[i])
	}
	b.lead(outletA, "nm-b")
	for i := range outlets {
		r := b.part(&components.Receptacle, fmt.Sprintf("Outlets %d", i+1), b.outlet())
		b.run(fmt.Sprintf("%s.c%d", panel, first+len(loads)+i+1), end(r, "in"))
	}
}

// chargerBreaker is the least usual breaker of a charger's circuit, in A: 1.25 times
// what it draws at 120 V when it gives its current at 1.2 times the bank's nominal
// voltage, with an efficiency of 0.85 (common practice, no source).
func chargerBreaker(amps, nominal float64) float64 {
	draws := amps * 1.2 * nominal / (0.85 * 120)
	for _, a := range []float64{15, 20, 25, 30} {
		if a >= 1.25*draws {
			return a
		}
	}
	return 30
}

// unit draws the inverter with its fuse, its two leads and its case ground.
func (b *firstSheet) unit(kind *components.Kind, three bool) {
	spec := []told{num("dc_v", b.a.BankV), known("continuous_va", b.a.InverterVA)}
	if kind == &components.InverterCharger {
		switch {
		case three && b.a.Whole != "":
			spec = append(spec, known("relay_a", b.siteA), str("passes", "both"), str("inverts", b.a.Whole))
		case three:
			spec = append(spec, known("relay_a", min(b.siteA, 30)), str("passes", "L1"))
		default:
			spec = append(spec, known("relay_a", min(b.siteA, 30)))
		}
	}
	if kind == &components.Inverter { // look at the device before taking its neutral for floating
		spec = append(spec, told{"bonded", components.Unknown})
	}
	b.inverter = b.part(kind, kind.Title, spec...)
	fuse := b.fuse("Inverter fuse", "class-t", b.inverterA)
	b.lead(b.inverterA, "battery-105")
	b.run(b.pos, end(fuse, "line"))
	b.run(end(fuse, "load"), end(b.inverter, "dc"))
	b.run(b.neg, end(b.inverter, "dc"))
	b.run(end(b.inverter, "case"), b.chassis)
}

// acIsThere tells whether the AC side is one that somebody else built.
func (b *firstSheet) acIsThere() bool { return b.a.Exists == "ac" || b.a.Exists == "all" }

// outlet is what a receptacle is made for: that of its circuit, or in a caravan
// unknown, since the plugs of a country decide it.
func (b *firstSheet) outlet() told {
	if b.doc.Basis == components.Caravan {
		return told{"rating_a", components.Unknown}
	}
	return num("rating_a", outletA)
}

// outletA is the breaker of a circuit of receptacles: the usual 15 A.
const outletA = 15

func breakerRow(leg, label string, amps float64) components.Spec {
	row := components.Spec{"leg": components.Str(leg), "breaker_a": components.Unknown, "label": components.Str(label)}
	if amps > 0 {
		row["breaker_a"] = components.Num(amps)
	}
	return row
}

// poles lets a caravan's breakers open the neutral too, or leaves that open where
// they are there already.
func (b *firstSheet) poles(rows []components.Spec) []components.Spec {
	if b.doc.Basis == components.Caravan {
		for i := range rows {
			rows[i] = rows[i].With("opens_neutral", components.Yes(true))
			if b.acIsThere() {
				rows[i] = rows[i].With("opens_neutral", components.Unknown)
			}
		}
	}
	return rows
}
