package sizing

import (
	"fmt"
	"slices"
	"strings"

	"rigline/components"
	"rigline/components/units"
)

// together gathers what is asked for into groups that are sized as one: the leads of
// parallel strings, out and back, and their devices, each with those that stand at the
// same place in the other strings. Sized one after the other they would come out unequal,
// and the strings would not share, or one lead would be thick for what the other loses.
// So are the positive and the negative that come to one device, and what lies on either
// side of a fuse or a switch in a cable. All else is a group of its own.
func together(doc *components.Document, asked []components.ID) [][]components.ID {
	alike := gather(doc)
	done := map[components.ID]bool{}
	var all [][]components.ID
	for _, id := range asked {
		if done[id] {
			continue
		}
		group := []components.ID{id}
		for _, o := range alike[id] {
			if o != id && slices.Contains(asked, o) {
				group = append(group, o)
			}
		}
		for _, o := range group {
			done[o] = true
		}
		all = append(all, group)
	}
	return all
}

// beside is the thickest run that a group is usually as thick as, and its size; none
// where no such run has one.
func beside(doc *components.Document, group []components.ID) (id components.ID, size string) {
	var most units.Size
	for _, o := range gather(doc)[group[0]] {
		r, isRun := doc.Run(o)
		if s, ok := r.Size(""); isRun && ok && !slices.Contains(group, o) && most.Less(s) {
			id, size, most = o, s.String(), s
		}
	}
	return id, size
}

// gather tells of each run and device what is sized with it.
func gather(doc *components.Document) map[components.ID][]components.ID {
	alike := map[components.ID][]components.ID{}
	for _, group := range slices.Concat(stringLeads(doc), pairs(doc), sides(doc)) {
		var all []components.ID
		for _, id := range group {
			for _, o := range append([]components.ID{id}, alike[id]...) {
				if !slices.Contains(all, o) {
					all = append(all, o)
				}
			}
		}
		for _, id := range all {
			alike[id] = all
		}
	}
	return alike
}

// sides are the runs of one conductor on the two sides of a device in a cable.
func sides(doc *components.Document) (all [][]components.ID) {
	for _, p := range doc.Parts() {
		switch p.Kind.Role {
		case components.Protects, components.Switches, components.Measures:
		default:
			continue
		}
		var runs []components.ID
		for _, r := range doc.RunsOf(p.ID) {
			if cores := doc.CoresOf(r); !r.Gone() && len(cores) == 1 && cores[0].From.DC() {
				runs = append(runs, r.ID)
			}
		}
		if len(runs) == 2 && !p.Gone() {
			all = append(all, runs)
		}
	}
	return all
}

// pairs are the positive and the negative that come each by a run of its own to a port of
// both.
func pairs(doc *components.Document) (all [][]components.ID) {
	for _, p := range doc.Parts() {
		for _, name := range p.PortNames() {
			var out, back []components.ID
			for _, r := range doc.RunsAt(p.Ref(name)) {
				switch cores := doc.CoresOf(r); {
				case r.Gone() || len(cores) != 1:
				case cores[0].From == components.Pos:
					out = append(out, r.ID)
				case cores[0].From == components.Neg:
					back = append(back, r.ID)
				}
			}
			if len(out) == 1 && len(back) == 1 {
				all = append(all, []components.ID{out[0], back[0]})
			}
		}
	}
	return all
}

// stringLeads are the runs on the ways of equal batteries to the same two bars, and the
// devices that stand there at the same place.
func stringLeads(doc *components.Document) [][]components.ID {
	var order []string
	groups, strung := map[string][]components.ID{}, map[string][]components.ID{}
	for _, bat := range doc.Parts() {
		if bat.Kind != &components.Battery || bat.Gone() {
			continue
		}
		out, there := wayOut(doc, bat, "pos")
		back, home := wayOut(doc, bat, "neg")
		for k, id := range append(out, back...) {
			key := there + home
			if _, isRun := doc.Run(id); !isRun {
				key = fmt.Sprintf("%s %d", key, k)
			}
			if _, met := groups[key]; !met {
				order = append(order, key)
			}
			groups[key] = append(groups[key], id)
			strung[key] = append(strung[key], bat.ID)
		}
	}
	var all [][]components.ID
	for _, key := range order {
		if len(slices.Compact(strung[key])) > 1 {
			all = append(all, groups[key])
		}
	}
	return all
}

// wayOut are the runs and inline devices from a post to where it meets others, and the
// shape that equal strings share: the battery, what stands on the way, and its end.
func wayOut(doc *components.Document, bat components.Part, post string) (way []components.ID, shape string) {
	var b strings.Builder
	fmt.Fprintf(&b, "%s", post)
	for _, key := range []string{"chemistry", "nominal_v", "capacity_ah", "series", "parallel", "role"} {
		v, _ := bat.Value(key)
		fmt.Fprintf(&b, " %s", v)
	}
	at := bat.Ref(post)
	for range doc.Parts() {
		var runs []components.Run
		for _, r := range doc.RunsAt(at) {
			if !r.Gone() {
				runs = append(runs, r)
			}
		}
		if len(runs) != 1 {
			return nil, ""
		}
		far := runs[0].Other(at)
		way = append(way, runs[0].ID)
		q, _ := doc.Part(far.Part)
		fmt.Fprintf(&b, " > %s", q.Kind.ID)
		if q.Kind.Role != components.Protects && q.Kind.Role != components.Switches {
			if q.Kind != &components.Battery {
				fmt.Fprintf(&b, " %s", far)
			}
			break
		}
		next := ""
		for _, name := range q.PortNames() {
			if q.Ref(name) != far {
				next = name
			}
		}
		if next == "" || len(doc.RunsAt(q.Ref(next))) != 1 {
			fmt.Fprintf(&b, " %s", far) // several ways meet on the device itself
			break
		}
		if q.Kind.Role == components.Protects {
			way = append(way, q.ID)
			fmt.Fprintf(&b, " %s", q.Word("family"))
		}
		at = q.Ref(next)
	}
	return way, b.String()
}
