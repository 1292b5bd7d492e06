package schedule

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"rigline/components"
	"rigline/export/lists"
	"rigline/export/solved"
	"rigline/export/terms"
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
		breakers, _ := upstream(rig.Doc, p.Ref("site"))
		add("a breaker breaks the load, not the plug", "Switch off %s, then pull the cord at both ends: %s", breakers, named(p))
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
	off := map[components.ID]cutOff{}
	for _, p := range there(&components.SolarArray) {
		o := cutOffFrom(rig, p.Ref("out").At(components.Pos))
		off[p.ID] = o
		if len(o.opens) > 0 {
			add("a controller that loses its battery while the sun feeds it may break", "Open %s"+cutting+"%s", these(rig.Doc, o.opens), named(p))
		}
		if len(o.opens) == 0 || len(o.lifts)+len(o.bare) > 0 {
			add("no switch is drawn between them", "Cover %s, all of it, before the battery is opened", named(p))
		}
	}
	under := underOthers(rig)
	for _, p := range there(&components.Battery) {
		o := cutOffFrom(rig, p.Ref("pos").At(components.Pos))
		off[p.ID] = o
		if under[p.ID] && len(o.opens)+len(o.lifts)+len(o.bare) == 0 {
			continue // nothing is tapped from it: it is cut off with the one above it
		}
		whole := named(p)
		for _, q := range below(rig, p.ID) {
			whole += ", " + named(q)
		}
		if len(o.opens) > 0 {
			add("a relay or a remote switch closes again by its signal: take its control lead off too", "Open %s"+cutting+"%s", these(rig.Doc, o.opens), whole)
		}
		switch {
		case len(o.bare) > 0:
			add("no switch and no fuse is drawn between it and "+these(rig.Doc, o.bare), "With nothing drawing, take the negative lead off %s first, then the positive", named(p))
		case len(o.lifts) > 0:
			add("no switch is drawn there", "With nothing drawing, lift %s with an insulated tool"+cutting+"%s", these(rig.Doc, o.lifts), whole)
		case len(o.opens) == 0:
			add("nothing is drawn at it", "With nothing drawing, take the negative lead off %s first, then the positive", named(p))
		}
	}
	steps = merged(steps)
	add("someone else will close what was found open", "Lock or tag each of these in its open position")
	for _, p := range there(&components.Inverter, &components.InverterCharger) {
		add("its capacitors keep their charge", "Wait five minutes at %s, or as long as its manual says", named(p))
	}
	add("a meter that is broken shows every conductor dead", "Try the meter on something live, measure at each of the places below, try it on something live again")
	for _, p := range there(&components.Panel) {
		add("", "Measure at the bars of %s: hot to neutral, hot to ground, neutral to ground", named(p))
	}
	for _, p := range there(&components.Inverter, &components.InverterCharger, &components.Busbar) {
		if p.Kind == &components.Busbar && p.Word("pole") != "+" {
			continue
		}
		if slices.ContainsFunc(there(&components.Battery), func(b components.Part) bool { return off[b.ID].bars[p.ID] }) {
			continue // alive, as the last steps say
		}
		add("", "Measure at %s: positive to negative, and each to the chassis", named(p))
	}
	for _, p := range there(&components.DCPanel) {
		add("", "Measure at %s: positive to negative, and each to the chassis", named(p))
	}
	for _, p := range there(&components.SolarController) {
		add("two sources meet in it", "Measure at %s, at its array side and at its battery side: positive to negative, and each to the chassis", named(p))
	}
	for _, p := range there(&components.DCCharger) {
		add("two batteries meet in it", "Measure at %s, at its input and at its output: positive to negative, and each to the chassis", named(p))
	}
	var told []string
	for _, p := range there(&components.Battery) {
		o := off[p.ID]
		if under[p.ID] && len(o.opens)+len(o.lifts)+len(o.bare) == 0 {
			continue // told of with the one above it
		}
		posts := []string{named(p)}
		for _, q := range below(rig, p.ID) {
			posts = append(posts, named(q))
			for _, r := range rig.Doc.RunsAt(q.Ref("pos")) {
				if !r.Gone() {
					o.runs = once(o.runs, r.ID)
				}
			}
		}
		slices.SortFunc(o.runs, components.CompareIDs)
		with := alive(o)
		if len(o.runs) > 0 && slices.Contains(told, with) {
			continue
		}
		told = append(told, with)
		for _, q := range there(&components.Battery) { // in parallel with it
			if q.ID != p.ID && len(o.runs) > 0 && alive(off[q.ID]) == with {
				posts = append(posts, named(q))
			}
		}
		add("nothing switches a battery off", "Stays live: the posts of %s%s", and(posts), with)
	}
	for _, p := range there(&components.SolarArray) {
		o := off[p.ID]
		for _, r := range rig.Doc.RunsAt(p.Ref("out")) {
			if !r.Gone() {
				o.runs = once(o.runs, r.ID)
			}
		}
		slices.SortFunc(o.runs, components.CompareIDs)
		add("daylight is enough", "Stays live: the leads of %s%s", named(p), alive(o))
	}
	return steps
}

// underOthers are the batteries that have another in series above them.
func underOthers(rig *solved.Rig) map[components.ID]bool {
	under := map[components.ID]bool{}
	for _, p := range rig.Doc.Parts() {
		for _, q := range below(rig, p.ID) {
			under[q.ID] = true
		}
	}
	return under
}

// below are the batteries in series below one.
func below(rig *solved.Rig, id components.ID) []components.Part {
	var all []components.Part
	if p, ok := rig.Doc.Part(id); ok && p.Kind == &components.Battery && len(rig.States) > 0 {
		all = solved.StringOf(rig.States[0].Circuit, p).Parts[1:]
	}
	return all
}

// cutting stands between what is opened and what is dead then.
const cutting = ": this cuts off "

// alive tells what stays alive with a source, and up to where.
func alive(o cutOff) string {
	if len(o.runs) == 0 {
		return ""
	}
	var all []string
	for _, r := range o.runs {
		all = append(all, string(r))
	}
	for _, b := range slices.SortedFunc(maps.Keys(o.bars), components.CompareIDs) {
		all = append(all, string(b))
	}
	text := ", with " + and(all)
	if ends := o.cuts(); len(ends) > 0 {
		var to []string
		for _, id := range ends {
			to = append(to, string(id))
		}
		text += ", up to " + and(to)
	}
	return text
}

// these names parts: "F1 (Bank fuse) and SW1 (Main disconnect)".
func these(doc *components.Document, all []components.ID) string {
	var names []string
	for _, id := range all {
		p, _ := doc.Part(id)
		names = append(names, named(p))
	}
	return and(names)
}

func and(all []string) string {
	if len(all) < 2 {
		return strings.Join(all, "")
	}
	return strings.Join(all[:len(all)-1], ", ") + " and " + all[len(all)-1]
}

// merged brings steps together that do the same.
func merged(steps []Step) []Step {
	var all []Step
	for _, s := range steps {
		head, tail, two := strings.Cut(s.Do, cutting)
		joined := false
		for i := range all {
			if two && strings.HasPrefix(all[i].Do, head+cutting) {
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

// IsolationTable is the order of isolation as a table, with a place for the tick.
func IsolationTable(rig *solved.Rig) lists.Table {
	t := lists.Table{Name: "isolation", Title: "Order of isolation", Head: []string{"step", "do", "because", "done"}}
	for i, s := range Isolation(rig) {
		t.Add(fmt.Sprint(i+1), s.Do, s.Why, "")
	}
	return terms.Of(rig.Doc).Table(t)
}
