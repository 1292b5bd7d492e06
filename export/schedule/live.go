package schedule

import (
	"slices"

	"rigline/components"
	"rigline/export/solved"
	"rigline/rules/circuit"
)

// cutOff is how a battery or an array is parted from the rig by hand, and what stays
// alive with it then.
type cutOff struct {
	opens []components.ID // switches and breakers
	lifts []components.ID // fuses in front of what no switch parts from it
	bare  []components.ID // what neither a switch nor a fuse parts from it
	runs  []components.ID // that stay alive
	bars  map[components.ID]bool
}

// cuts are the switches and fuses that part it, in order.
func (o cutOff) cuts() []components.ID {
	all := slices.Concat(o.opens, o.lifts)
	slices.SortFunc(all, components.CompareIDs)
	return all
}

// passes are the kinds that a current goes through: whatever else a terminal belongs
// to takes power or gives it.
var passes = []*components.Kind{&components.Battery, &components.SolarArray, &components.Fuse, &components.Busbar, &components.Shunt, &components.Splice,
	&components.DCSwitch, &components.DCBreaker, &components.BondKind, &components.Chassis}

// cutOffFrom finds it on the positive side. Every contact counts as closed. Where there
// is no switch the fuse nearest to the source is lifted, so that least stays alive; or,
// where that does not part everything from it, as with two ways out, the last ones.
func cutOffFrom(rig *solved.Rig, from components.Terminal) cutOff {
	if nearest, whole := cutOffAt(rig, from, true); whole {
		return nearest
	}
	last, _ := cutOffAt(rig, from, false)
	return last
}

// cutOffAt is the same, whole where nothing that draws or gives is left with the source.
func cutOffAt(rig *solved.Rig, from components.Terminal, nearest bool) (out cutOff, whole bool) {
	out = cutOff{bars: map[components.ID]bool{}}
	if len(rig.States) == 0 {
		return out, true
	}
	c := rig.States[0].Circuit
	start, ok := c.Term(from)
	if !ok {
		return out, true
	}
	kind := func(id components.ID) *components.Kind {
		p, _ := rig.Doc.Part(id)
		return p.Kind
	}
	byHand := func(id components.ID) bool { // a relay opens and closes as it likes
		p, _ := rig.Doc.Part(id)
		return p.Kind == &components.DCBreaker || p.Kind == &components.DCSwitch && !components.IsRelay(p.Told("closed_by"))
	}
	passed := map[components.ID]bool{}
	var behind func(circuit.Term) []components.ID
	behind = func(from circuit.Term) (fed []components.ID) {
		type fuse struct {
			id  components.ID
			far circuit.Term
		}
		var fuses []fuse
		near := c.Walk(func(l *circuit.Link, o circuit.Term) bool {
			switch k := kind(l.Part); {
			case c.Terms[o].Pole != components.Pos:
				return false
			case byHand(l.Part):
				out.opens = once(out.opens, l.Part)
				return false
			case k == &components.Fuse:
				fuses = append(fuses, fuse{l.Part, o})
				return false
			}
			return true
		}, from).Reached()
		for t := range near {
			if p := c.Terms[t].Part; !slices.Contains(passes, kind(p)) {
				fed = once(fed, p)
			}
		}
		for _, f := range fuses {
			if passed[f.id] {
				continue
			}
			passed[f.id] = true
			opens, lifts := len(out.opens), len(out.lifts)
			switch beyond := behind(f.far); {
			case nearest && len(out.opens) == opens && (len(beyond) > 0 || len(out.lifts) > lifts):
				out.lifts = append(out.lifts[:lifts], f.id)
			case len(beyond) > 0:
				out.lifts = append(out.lifts, f.id)
			}
		}
		return fed
	}
	out.bare = behind(start)
	slices.SortFunc(out.opens, components.CompareIDs)
	slices.SortFunc(out.lifts, components.CompareIDs)
	slices.SortFunc(out.bare, components.CompareIDs)
	if len(out.bare) > 0 { // its leads come off
		out.lifts = nil
		return out, true
	}
	alive := c.Walk(func(l *circuit.Link, o circuit.Term) bool {
		return c.Terms[o].Pole == components.Pos && !slices.Contains(out.opens, l.Part) && !slices.Contains(out.lifts, l.Part)
	}, start).Reached()
	whole = true
	for t := range alive {
		p := c.Terms[t].Part
		whole = whole && slices.Contains(passes, kind(p))
		if kind(p) == &components.Busbar {
			out.bars[p] = true
		}
	}
	for _, l := range c.Links {
		if l.Run != "" && alive[l.A] && alive[l.B] {
			out.runs = once(out.runs, l.Run)
		}
	}
	slices.SortFunc(out.runs, components.CompareIDs)
	return out, whole
}
