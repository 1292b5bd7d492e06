package components

import "slices"

// Plug is the cord of a site supply that ends at an inlet.
type Plug struct {
	Run   ID
	Shore ID
}

// Plugs are the cords of site supplies at an inlet's pins of which one at a time can be in,
// in tag order; nil where there is no choice. An inlet takes one plug. Cords that meet in a
// junction before it are one plug, and so are two that bring their hots to different pins,
// as an adapter for two outlets does.
func (d *Document) Plugs(pins PortRef) []Plug {
	runs := d.RunsAt(pins)
	if len(runs) < 2 {
		return nil
	}
	var plugs []Plug
	var hots []Pole
	shared := false
	for _, r := range runs {
		shore, ok := d.CordTo(r, pins, &Shore)
		if r.Gone() || !ok {
			continue
		}
		plugs = append(plugs, Plug{r.ID, shore})
		for _, c := range d.CoresOf(r) {
			pin := c.To
			if r.From == pins {
				pin = c.From
			}
			if pin.Hot() {
				shared = shared || slices.Contains(hots, pin)
				hots = append(hots, pin)
			}
		}
	}
	if len(plugs) < 2 || !shared {
		return nil
	}
	return plugs
}

// CordTo finds the part of a kind that a run leads to from one of its ends, over junctions
// alone.
func (d *Document) CordTo(r Run, from PortRef, kind *Kind) (ID, bool) {
	seen := map[ID]bool{}
	var leads func(r Run, from PortRef) (ID, bool)
	leads = func(r Run, from PortRef) (ID, bool) {
		end := r.Other(from)
		q, _ := d.Part(end.Part)
		if seen[r.ID] || q.Kind != &Splice {
			return q.ID, q.Kind == kind
		}
		seen[r.ID] = true
		for _, port := range q.PortNames() {
			for _, o := range d.RunsAt(q.Ref(port)) {
				if o.Gone() || seen[o.ID] {
					continue
				}
				if id, ok := leads(o, q.Ref(port)); ok {
					return id, true
				}
			}
		}
		return "", false
	}
	return leads(r, from)
}

// PluggedIn is the plug that is in where one of several can be: the first whose supply the
// state names, or else the first that it does not leave out.
func (s State) PluggedIn(d *Document, plugs []Plug) (in Plug, ok bool) {
	for _, p := range plugs {
		if slices.Contains(s.Off, p.Shore) {
			continue
		}
		if q, _ := d.Part(p.Shore); q.Word("service") == s.Shore {
			return p, true
		}
		if !ok {
			in, ok = p, true
		}
	}
	return in, ok
}
