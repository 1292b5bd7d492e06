package checks

import (
	"fmt"
	"slices"
	"strings"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// NeverFed finds a load that no state feeds: nothing else is checked of it.
var NeverFed = &rules.Rule{
	ID:    "load.never-fed",
	Title: "A load is fed in no state",
	Must:  "Every load, outlet and charger that is drawn is fed in one of the states at least. One that is not is dead, or its state is not drawn, and no other rule has looked at its circuit. A conductor leads from a source to the DC input of each inverter, converter and controller that anything is joined to there.",
	Basis: []rules.Basis{{Source: "a load that is not fed cannot be checked", Seen: rules.Practice}},
	Level: rules.Violation, Stateless: true,
	Check: neverFed,
}

func neverFed(p *rules.Pass) {
	names := make([]string, len(p.All()))
	for i, s := range p.All() {
		names[i] = s.State.Name
	}
	for _, q := range p.Doc.Parts() {
		if q.Gone() {
			continue
		}
		if port := takesDCAt(q); port != "" {
			inputFromNowhere(p, q, port)
		}
		if q.Kind.Role != components.Uses && q.Kind != &components.Charger || fedSomewhere(p, q) {
			continue
		}
		f := rules.Finding{
			At:      string(q.ID),
			Message: fmt.Sprintf("%s is fed in none of the states (%s): it is dead, and its circuit is not checked", q.ID, strings.Join(names, ", ")),
			Working: []string{"states that feed " + string(q.ID) + ": 0 of " + fmt.Sprint(len(names))},
			Fixes:   hotAlong(p, q),
		}
		if len(p.Doc.RunsOf(q.ID)) == 0 {
			f.Level = rules.Advice // a drawing under way
			f.Message = fmt.Sprintf("Nothing is connected to %s", q.ID)
		}
		f.Fixes = append(f.Fixes, takeOff(p.Doc, q.ID))
		p.Report(f)
	}
}

// usesPoles are the port at which a part takes its power and the conductors that
// must be live there, all of them.
func usesPoles(q components.Part) (port string, live []components.Pole) {
	if q.Kind == &components.DCLoad {
		return "in", []components.Pole{components.Pos}
	}
	return usesPort(q), poles(q)
}

// takesDCAt is the port at which a part that converts takes direct current.
func takesDCAt(q components.Part) string {
	switch q.Kind {
	case &components.Inverter, &components.InverterCharger:
		return "dc"
	case &components.DCCharger, &components.DCConverter:
		return "in"
	case &components.SolarController:
		return "pv"
	}
	return ""
}

// inputFromNowhere finds an inverter, a converter or a controller to which no live
// conductor leads from a source, in any position of switches, though something is joined
// there: in a drawing under way nothing is.
func inputFromNowhere(p *rules.Pass, q components.Part, port string) {
	c := p.Circuit
	start, ok := c.At(q.ID, port, components.Pos)
	if !ok || !joinedAt(p.Doc, q, []string{port}) {
		return
	}
	for t := range c.Walk(func(l *circuit.Link, o circuit.Term) bool { return c.Terms[o].Pole == components.Pos }, start).Nearest() {
		o, _ := p.Doc.Part(c.Terms[t].Part)
		if o.ID != q.ID && !o.Gone() && givesDCAt(o, c.Terms[t].Port) {
			return
		}
	}
	p.Report(rules.Finding{
		At:      q.Ref(port).String(),
		Message: fmt.Sprintf("No positive leads from a battery or another source to %s of %s: it is dead, and its circuit is not checked", port, q.ID),
		Working: []string{fmt.Sprintf("sources that live conductors of %s lead to, in any position of switches: 0", q.Ref(port))},
	})
}

// givesDCAt tells whether a part gives direct current at a port.
func givesDCAt(q components.Part, port string) bool {
	switch q.Kind {
	case &components.Battery, &components.Alternator, &components.SolarArray, &components.SolarController, &components.Charger, &components.DCCharger, &components.DCConverter, &components.InverterCharger:
		return slices.Contains(givesAt(q), port) || q.Kind == &components.InverterCharger && port == "dc"
	}
	return false
}

func fedSomewhere(p *rules.Pass, q components.Part) bool {
	return slices.ContainsFunc(p.All(), func(s *rules.Pass) bool { return fedIn(s, q) })
}

// fedIn tells whether every conductor that a part takes its power by is live in a
// state.
func fedIn(s *rules.Pass, q components.Part) bool {
	port, live := usesPoles(q)
	for _, pole := range live {
		if t, ok := s.Circuit.At(q.ID, port, pole); !ok || !s.Circuit.Live(t) {
			return false
		}
	}
	return true
}

// hotAlong brings the hot along in a run of the load that leaves it out, where
// that makes the load live.
func hotAlong(p *rules.Pass, q components.Part) []rules.Fix {
	port, live := usesPoles(q)
	for _, pole := range live {
		has := false
		for _, r := range p.Doc.RunsAt(q.Ref(port)) {
			for _, core := range p.Doc.CoresOf(r) {
				has = has || core.From == pole || core.To == pole
			}
		}
		if !has {
			return addCore(p, q, port, pole)
		}
	}
	return nil
}
