package sizing

import (
	"fmt"
	"slices"
	"strings"

	"rigline/components"
)

// together gathers what is asked for into groups that are sized as one: the leads of
// parallel strings, and their devices, each with those that stand at the same place in
// the other strings. Sized one after the other they would come out unequal, and the
// strings would not share. All else is a group of its own.
func together(doc *components.Document, asked []components.ID) [][]components.ID {
	alike := map[components.ID][]components.ID{}
	for _, group := range stringLeads(doc) {
		for _, id := range group {
			alike[id] = group
		}
	}
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

// stringLeads are the runs, and the devices, that stand at the same place on the ways
// of equal batteries to one bar.
func stringLeads(doc *components.Document) [][]components.ID {
	var order []string
	groups := map[string][]components.ID{}
	for _, bat := range doc.Parts() {
		if bat.Kind != &components.Battery || bat.Gone() {
			continue
		}
		for _, post := range []string{"pos", "neg"} {
			way, shape := wayOut(doc, bat, post)
			for k, id := range way {
				key := fmt.Sprintf("%s %d", shape, k)
				if _, met := groups[key]; !met {
					order = append(order, key)
				}
				groups[key] = append(groups[key], id)
			}
		}
	}
	var all [][]components.ID
	for _, key := range order {
		if len(groups[key]) > 1 {
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
