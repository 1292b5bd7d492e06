package scene

import (
	"cmp"
	"iter"
	"slices"

	"rigline/components"
)

// partLabel is what stands beside a symbol: tag, name and rating, in lines no wider
// than a width.
func (d *drawing) partLabel(p components.Part, width float64) block {
	b := block{{string(p.ID), TagHeight, true, Ink}}
	if p.Name != "" {
		for _, l := range wrap(p.Name, SmallHeight, width, false) {
			b = append(b, words{l, SmallHeight, false, Ink})
		}
	}
	if rating := p.Kind.Rating(p.Spec); rating != "" {
		for _, l := range wrap(d.say(rating), SmallHeight, width, false) {
			b = append(b, words{l, SmallHeight, false, Faint})
		}
	}
	return b
}

// drawnArea is what the symbol covers, its leads left out.
func drawnArea(p components.Part) Box {
	return bodyOf(p, p.Kind.Symbol(p.Spec))
}

// partSpots are the places for a part's label, the best first: sides without ports,
// above before below before right before left.
func partSpots(p components.Part, body Box, w, h float64) iter.Seq[spot] {
	taken := map[components.Side]bool{}
	bar := false
	for _, port := range p.Ports() {
		taken[port.Side] = true
		if body.Holds(Pt{float64(port.At.X + p.At.X), float64(port.At.Y + p.At.Y)}) {
			bar = true
			taken[port.Side.Turned(180)] = true
		}
	}
	order := []components.Side{components.Top, components.Bottom, components.Right, components.Left}
	if taken[components.Left] && len(taken) == 1 { // a load: its text reads on from its line
		order = []components.Side{components.Right, components.Top, components.Bottom, components.Left}
	}
	if bar && body.width() < body.height() {
		order = []components.Side{components.Top, components.Bottom, components.Right, components.Left}
	}
	slices.SortStableFunc(order, func(a, b components.Side) int { return cmp.Compare(b2i(taken[a]), b2i(taken[b])) })
	return func(yield func(spot) bool) {
		for _, gap := range [...]float64{4, 10, 16, 24} {
			for _, side := range order {
				if taken[side] && gap > 16 {
					continue
				}
				for s := range sideSpots(body, side, w, h, gap) {
					if !yield(s) {
						return
					}
				}
			}
		}
	}
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// sideSpots are the places along one side of an area: the middle, then flush with
// either end, then past it.
func sideSpots(b Box, side components.Side, w, h, gap float64) iter.Seq[spot] {
	c := b.centre()
	return func(yield func(spot) bool) {
		switch side {
		case components.Top, components.Bottom:
			y := b.Min.Y - gap - h
			if side == components.Bottom {
				y = b.Max.Y + gap
			}
			for _, s := range [...]struct {
				x      float64
				anchor Anchor
			}{{c.X - w/2, Middle}, {b.Min.X, Start}, {b.Max.X - w, End}, {c.X + 5, Start}, {c.X - 5 - w, End}, {b.Max.X + 4, Start}, {b.Min.X - 4 - w, End}} {
				if !yield(spot{Box{Pt{s.x, y}, Pt{s.x + w, y + h}}, s.anchor, 0, false}) {
					return
				}
			}
		default:
			x, anchor := b.Max.X+gap, Start
			if side == components.Left {
				x, anchor = b.Min.X-gap-w, End
			}
			for _, y := range [...]float64{c.Y - h/2, b.Min.Y, b.Max.Y - h, c.Y + 4, c.Y - 4 - h, b.Max.Y + 2, b.Min.Y - 2 - h} {
				if !yield(spot{Box{Pt{x, y}, Pt{x + w, y + h}}, anchor, 0, false}) {
					return
				}
			}
		}
	}
}

func (d *drawing) labelPart(p components.Part) {
	dim := d.o.Live[p.ID].Dead
	l, ok := d.first[p.ID]
	if !ok || !d.room.free(l.box.grown(clearance)) {
		l, ok = d.labelSpot(p, d.room)
	}
	if ok {
		d.set(l.block, l.spot, string(p.ID), dim)
		return
	}
	d.lead(d.partLabel(p, nameWidth), d.area(p), string(p.ID), dim)
}

// label is a block and where it stands.
type label struct {
	block
	spot
}

// labelSpot is the best free place for a part's label, in the widest lines that have
// one, and nowhere nearer to another symbol than to its own.
func (d *drawing) labelSpot(p components.Part, r *room) (label, bool) {
	near, body := d.symbols(), d.area(p)
	for _, width := range [...]float64{nameWidth, 72, 50} {
		b := d.partLabel(p, width)
		w, h := b.size()
		for s := range partSpots(p, body, w, h) {
			if r.free(s.box.grown(clearance)) && !near.nearer(s.box, p.ID, body) {
				return label{b, s}, true
			}
		}
	}
	return label{}, false
}

// strayPorts names the circuits of a panel that no run leaves from.
func (d *drawing) strayPorts() {
	for _, p := range d.doc.Parts() {
		if p.Kind.Role != components.Distributes {
			continue
		}
		for _, port := range p.Ports() {
			if port.Title == "" || port.Name == "main" || port.Name == "feed" || len(d.doc.RunsAt(p.Ref(port.Name))) > 0 {
				continue
			}
			b := block{{port.Title, SmallHeight, false, Faint}}
			w, h := b.size()
			at := port.At.Add(p.At)
			for s := range sideSpots(boxAt(Pt{float64(at.X), float64(at.Y)}, 0, 0), port.Side, w, h, 4) {
				if d.room.free(s.box.grown(0.5)) {
					d.set(b, s, p.Ref(port.Name).String(), d.o.Live[p.ID].Dead)
					break
				}
			}
		}
	}
}
