package components

import (
	"maps"
	"slices"
	"strings"
)

// forget drops what is told elsewhere of something that is gone: its comment, and its
// name in the states. A state that named it alone as on leaves the others on.
func (d *Document) forget(id ID) {
	if _, ok := d.Comments[string(id)]; ok {
		d.Comments = maps.Clone(d.Comments)
		delete(d.Comments, string(id))
	}
	d.eachNamed(id, func(ids []ID, at int) []ID { return slices.Delete(ids, at, at+1) })
}

// retag names a part anew wherever its tag stands beside the part itself: in comments,
// states, acceptances and readings.
func (d *Document) retag(id, to ID) {
	if c, ok := d.Comments[string(id)]; ok {
		d.Comments = maps.Clone(d.Comments)
		delete(d.Comments, string(id))
		d.Comments[string(to)] = c
	}
	d.eachNamed(id, func(ids []ID, at int) []ID { ids[at] = to; return ids })
	for i, a := range d.Accepted {
		for j, on := range a.On {
			renamed, ok := readdressed(on, id, to)
			if !ok {
				continue
			}
			d.Accepted = slices.Clone(d.Accepted)
			a.On = slices.Clone(a.On)
			a.On[j] = renamed
			d.Accepted[i] = a
		}
	}
	for i, r := range d.Readings {
		item, place, _ := strings.Cut(r.Item, "/")
		renamed, ok := readdressed(place, id, to)
		if !ok {
			continue
		}
		d.Readings = slices.Clone(d.Readings)
		d.Readings[i].Item = item + "/" + renamed
	}
}

// readdressed is an address of a part by its other tag: "BAT1", "BAT1.pos".
func readdressed(address string, id, to ID) (string, bool) {
	rest, ok := strings.CutPrefix(address, string(id))
	return string(to) + rest, ok && (rest == "" || rest[0] == '.')
}

// eachNamed changes the lists of the states that name a part.
func (d *Document) eachNamed(id ID, change func(ids []ID, at int) []ID) {
	for i, s := range d.States {
		off, on := slices.Index(s.Off, id), slices.Index(s.On, id)
		if off < 0 && on < 0 {
			continue
		}
		if off >= 0 {
			s.Off = change(slices.Clone(s.Off), off)
		}
		if on >= 0 {
			s.On = change(slices.Clone(s.On), on)
		}
		d.States = slices.Clone(d.States)
		d.States[i] = s
	}
}
