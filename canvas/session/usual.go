package session

import (
	"slices"

	"rigline/components"
)

// usualCable is the construction that a new run is usually made of, by its cores
// (common practice, no source).
func usualCable(doc *components.Document, r components.Run) components.Construction {
	cores := doc.CoresOf(r)
	is := func(poles ...components.Pole) bool {
		return slices.ContainsFunc(cores, func(c components.Core) bool { return slices.Contains(poles, c.From) })
	}
	at := func(kind *components.Kind, port string) bool {
		return slices.ContainsFunc([]components.PortRef{r.From, r.To}, func(e components.PortRef) bool {
			p, _ := doc.Part(e.Part)
			return p.Kind == kind && (port == "" || e.Port == port)
		})
	}
	id := "battery-105"
	switch {
	case at(&components.SolarArray, ""), at(&components.SolarController, "pv"):
		id = "pv-90"
	case is(components.Pos, components.Neg):
		if len(cores) > 1 {
			id = "duplex-105"
		}
	case is(components.L, components.L1, components.L2, components.N):
		id = "nm-b"
		if at(&components.Shore, "") {
			id = "cord-shore"
		}
	}
	if other, ok := caravanCable[id]; ok && doc.Basis == components.Caravan {
		id = other
	}
	c, _ := components.FindConstruction(id)
	return c
}

// Made is what something new is made of, chosen along with its size: the
// construction of a run, the family of a fuse.
type Made struct {
	On    components.ID
	Key   string // cable, family
	Value string
	Title string
}

// unmade are the usual constructions of runs, and the usual families of fuses, of
// those that nothing is told of. Without them most rules cannot hold a size to
// anything.
func unmade(doc *components.Document, ids []components.ID) (all []Made) {
	for _, id := range ids {
		if r, ok := doc.Run(id); ok && !r.Spec["cable"].Known() {
			c := usualCable(doc, r)
			all = append(all, Made{id, "cable", c.ID, c.Title})
		}
		p, ok := doc.Part(id)
		if ok && p.Kind == &components.Fuse && !p.Spec["family"].Known() && !p.Spec["interrupting_a"].Known() {
			all = append(all, Made{id, "family", "class-t", "class T"})
		}
	}
	return all
}

// Edit tells it.
func (m Made) Edit() components.Edit {
	return components.Set{On: m.On, Key: m.Key, Value: components.Str(m.Value)}
}
