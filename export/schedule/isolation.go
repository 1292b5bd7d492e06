package schedule

import (
	"fmt"
	"strings"

	"rigline/components"
	"rigline/export/lists"
	"rigline/export/solved"
	"rigline/export/terms"
	"rigline/rules/circuit"
)

// Step is one step of a procedure.
type Step struct {
	Do  string
	Why string
}

// Isolation is the order in which this rig is made dead: loads, then the supplies
// from outside, the engine, the sun before the battery, the battery last; then what
// shows that it is, and what stays live (common practice, no source).
func Isolation(rig *solved.Rig) []Step {
	var steps []Step
	add := func(why, format string, args ...any) { steps = append(steps, Step{fmt.Sprintf(format, args...), why}) }
	there := func(kinds ...*components.Kind) (all []components.Part) {
		for _, p := range rig.Doc.Parts() {
			for _, k := range kinds {
				if p.Kind == k && !p.Gone() {
					all = append(all, p)
				}
			}
		}
		return all
	}
	add("no contact has to break a load", "Switch off what draws: appliances, pumps, heaters")
	for _, p := range there(&components.Inverter, &components.InverterCharger) {
		add("it makes mains out of the battery as soon as its input is dead", "Switch off %s at its own switch, not only by its remote", named(p))
	}
	for _, p := range there(&components.Inlet) {
		add("the site's breaker breaks the load, not the plug", "Switch off the site's breaker, then pull the cord at both ends: %s", named(p))
	}
	if len(there(&components.Inlet)) == 0 {
		for _, p := range there(&components.Shore) {
			add("", "Switch off and disconnect %s", named(p))
		}
	}
	for _, p := range there(&components.Generator) {
		add("it may start by itself", "Stop %s, open its breaker and take its start wire or its battery lead off", named(p))
	}
	for _, p := range there(&components.Alternator) {
		add("it charges while it turns", "Stop the engine and keep the key: %s", named(p))
	}
	for _, p := range there(&components.SolarArray) {
		switch opens, _ := handDevices(rig, p.Ref("out").At(components.Pos)); {
		case len(opens) > 0:
			add("a controller that loses its battery while the sun feeds it may break", "Open %s: it cuts off %s", strings.Join(opens, " and "), named(p))
		default:
			add("no switch is drawn between them", "Cover %s, all of it, before the battery is opened", named(p))
		}
	}
	for _, p := range there(&components.Battery) {
		opens, fuses := handDevices(rig, p.Ref("pos").At(components.Pos))
		switch {
		case len(opens) > 0:
			add("", "Open %s: it cuts off %s", strings.Join(opens, " and "), named(p))
		case len(fuses) > 0:
			add("no switch is drawn in its lead", "With nothing drawing, lift %s of %s with an insulated tool", strings.Join(fuses, " and "), named(p))
		default:
			add("no switch and no fuse is drawn in its lead", "With nothing drawing, take the negative lead off %s first, then the positive", named(p))
		}
	}
	steps = merged(steps)
	add("someone else will close what was found open", "Lock or tag each of these in its open position")
	for _, p := range there(&components.Inverter, &components.InverterCharger) {
		add("its capacitors keep their charge", "Wait five minutes at %s, or as long as its manual says", named(p))
	}
	add("a meter that is broken shows every conductor dead", "Try the meter on something live, measure here, try it again")
	for _, p := range there(&components.Panel) {
		add("", "Measure at the bars of %s: hot to neutral, hot to ground, neutral to ground", named(p))
	}
	for _, p := range there(&components.Inverter, &components.InverterCharger, &components.Busbar) {
		if p.Kind == &components.Busbar && p.Word("pole") != "+" {
			continue
		}
		add("", "Measure at %s: positive to negative, and each to the chassis", named(p))
	}
	for _, p := range there(&components.Battery) {
		add("nothing switches a battery off", "Stays live: the posts of %s, and its lead up to the first fuse or switch", named(p))
	}
	for _, p := range there(&components.SolarArray) {
		add("daylight is enough", "Stays live: the leads of %s, up to what opens them", named(p))
	}
	return steps
}

// merged brings steps together that do the same.
func merged(steps []Step) []Step {
	var all []Step
	for _, s := range steps {
		head, tail, two := strings.Cut(s.Do, ": it cuts off ")
		joined := false
		for i := range all {
			if two && strings.HasPrefix(all[i].Do, head+": it cuts off ") {
				all[i].Do += ", " + tail
				joined = true
			}
		}
		if !joined {
			all = append(all, s)
		}
	}
	return all
}

func named(p components.Part) string {
	if p.Name == "" {
		return fmt.Sprintf("%s (%s)", p.ID, strings.ToLower(p.Kind.Title))
	}
	return fmt.Sprintf("%s (%s)", p.ID, p.Name)
}

// handDevices are the switches and breakers that a hand opens first on every way from
// a terminal over the positive side, and the fuses before them.
func handDevices(rig *solved.Rig, from components.Terminal) (opens, fuses []string) {
	if len(rig.States) == 0 {
		return nil, nil
	}
	c := rig.States[0].Circuit
	start, ok := c.Term(from)
	if !ok {
		return nil, nil
	}
	c.Walk(func(l *circuit.Link, o circuit.Term) bool {
		if c.Terms[o].Pole != components.Pos {
			return false
		}
		q, _ := rig.Doc.Part(l.Part)
		switch {
		case q.Kind == &components.DCSwitch || q.Kind == &components.DCBreaker:
			opens = once(opens, named(q))
			return false
		case q.Kind == &components.Fuse:
			fuses = once(fuses, named(q))
		}
		return true
	}, start).Reached()
	return opens, fuses
}

// IsolationTable is the order of isolation as a table, with a place for the tick.
func IsolationTable(rig *solved.Rig) lists.Table {
	t := lists.Table{Name: "isolation", Title: "Order of isolation", Head: []string{"step", "do", "because", "done"}}
	for i, s := range Isolation(rig) {
		t.Add(fmt.Sprint(i+1), s.Do, s.Why, "")
	}
	return terms.Of(rig.Doc).Table(t)
}
