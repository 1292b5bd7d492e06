package cards

import (
	"fmt"
	"slices"

	"rigline/components"
)

// supply is one way to feed the rig.
type supply struct {
	kind  Kind
	title string
	state components.State
	amps  float64 // of a site's breaker, else 0
}

// pitches are the smaller breakers that pitches of 230 V have, behind the same outlet
// (common practice, no source). They are cards and no states, as a smaller site of a
// single-hot American rig is: the circuit is the same, no conductor is asked for more
// than behind the largest breaker, and what trips the smaller one is what a card tells.
// An adapter that bridges two legs makes another circuit, and is a state.
var pitches = []float64{10, 6}

// supplies lists the ways to feed a rig: the site's own service and every smaller
// one that an adapter takes, each generator, and no supply at all. Where the
// project tells a state of its own for one of them, what is off there stays off.
func supplies(doc *components.Document) []supply {
	var all []supply
	var generators []components.Part
	var site *components.Part
	bank := false
	for _, p := range doc.Parts() {
		if p.Gone() {
			continue
		}
		switch p.Kind {
		case &components.Shore:
			if site == nil {
				site = &p
			}
		case &components.Generator:
			generators = append(generators, p)
		case &components.Battery:
			bank = bank || p.Word("role") != "starting"
		}
	}
	const half = 0.5
	if site != nil {
		for _, service := range servicesOf(site.Word("service")) {
			title := fmt.Sprintf("%v A site", components.ServiceAmps(service))
			if service != site.Word("service") {
				title += ", through an adapter"
			}
			all = append(all, supply{Site, title, told(doc, components.State{Name: title, Shore: service, SoC: half}), components.ServiceAmps(service)})
		}
		if service := site.Word("service"); doc.Basis == components.Caravan {
			for _, amps := range pitches {
				title := fmt.Sprintf("%v A site", amps)
				all = append(all, supply{Site, title, told(doc, components.State{Name: title, Shore: service, SoC: half}), amps})
			}
		}
	}
	if len(generators) > 0 { // a state starts every generator that there is
		title := "Generator " + string(generators[0].ID)
		for _, g := range generators[1:] {
			title += " and " + string(g.ID)
		}
		all = append(all, supply{Generator, title, told(doc, components.State{Name: title, Generator: true, SoC: half}), 0})
	}
	if bank {
		all = append(all, supply{OffGrid, "Off grid", told(doc, components.State{Name: "Off grid", SoC: half}), 0})
	}
	return all
}

// servicesOf are the site supplies that a rig made for one of them can use: its
// own and the smaller ones.
func servicesOf(service string) []string {
	all := []string{service}
	smaller := components.Services
	if components.ThreeWire(service) {
		smaller = components.Adapters
	}
	for _, s := range smaller {
		if components.ServiceVolts(s) == components.ServiceVolts(service) && components.ServiceAmps(s) < components.ServiceAmps(service) && !slices.Contains(all, s) {
			all = append(all, s)
		}
	}
	return all
}

// told takes over what the project's own states for the same supply have off: of several
// only what none of them has on.
func told(doc *components.Document, st components.State) components.State {
	var own []components.State
	for _, o := range doc.States {
		if o.Shore == st.Shore && o.Generator == st.Generator && !o.Engine && o.Sun == 0 && !o.Bypass {
			own = append(own, o)
		}
	}
	if len(own) == 0 {
		return st
	}
	st.Off, st.On = own[0].Off, own[0].On
	if len(own) == 1 {
		return st
	}
	st.Off, st.On = nil, nil
	for _, p := range doc.Parts() {
		if !slices.ContainsFunc(own, func(o components.State) bool { return !isOff(o, p) }) {
			st.Off = append(st.Off, p.ID)
		}
	}
	return st
}

// isOff tells whether a state has a part switched off. What its list of loads that are on
// leaves out is.
func isOff(st components.State, p components.Part) bool {
	return slices.Contains(st.Off, p.ID) || (p.Kind.Role == components.Uses || p.Kind == &components.Charger) && len(st.On) > 0 && !slices.Contains(st.On, p.ID)
}
