package scene

import (
	"iter"
	"math"

	"rigline/components"
)

// lead sets a block at the nearest free place around a symbol and draws a leader
// to it.
func (d *drawing) lead(b block, area Box, address string, dim bool) {
	// Close to another symbol it would be taken for that one's.
	const aloof = 2 * components.Module
	around, ends := []Pt{area.centre()}, []Pt{area.Min, {area.Max.X, area.Min.Y}, area.Max, {area.Min.X, area.Max.Y}}
	for _, try := range []struct {
		clear float64
		rings int
	}{{aloof, nearRings}, {clearance, farRings}} {
		if l, ok := d.findLeader([]block{b}, around, ends, 1, try.rings, try.clear); ok {
			d.setLed(l, address, dim)
			return
		}
	}
	d.leadFar(b, area.centre(), address, dim)
}

const (
	nearRings = 9  // of a leader's length that are looked at first
	farRings  = 30 // beyond which none is drawn
	ringStep  = 8
)

// leadToPath does so for a line, from around the middle of its pieces.
func (d *drawing) leadToPath(blocks []block, path []Pt, address string, dim bool) {
	var around, ends []Pt
	for _, p := range pieces(path) {
		around = append(around, Pt{(p.a.X + p.b.X) / 2, (p.a.Y + p.b.Y) / 2})
		for t := 6.0; t <= max(6, p.long-6); t += 6 {
			ends = append(ends, Pt{p.a.X + (p.b.X-p.a.X)*t/p.long, p.a.Y + (p.b.Y-p.a.Y)*t/p.long})
		}
	}
	for _, rings := range [][2]int{{1, nearRings}, {nearRings + 1, farRings}} {
		if l, ok := d.findLeader(blocks, around, ends, rings[0], rings[1], clearance); ok {
			d.setLed(l, address, dim)
			return
		}
	}
	d.leadFar(blocks[0], around[0], address, dim)
}

// led is a block at a place, and a leader from there to what it is about.
type led struct {
	block    block
	spot     spot
	from, to Pt
}

func (d *drawing) setLed(l led, address string, dim bool) {
	d.leader(l.from, l.to, address, dim)
	d.set(l.block, l.spot, address, dim)
}

// findLeader finds the first place of one of the blocks whose leader crosses nothing, or
// else the first whose leader crosses lines alone.
func (d *drawing) findLeader(blocks []block, around, ends []Pt, first, last int, clear float64) (found led, ok bool) {
	for _, b := range blocks {
		for l := range d.leaders(b, around, ends, first, last, clear) {
			switch crossed, free := d.room.freeLine(l.from, l.to, !ok); {
			case free && !crossed:
				return l, true
			case free:
				found, ok = l, true
			}
		}
	}
	return found, ok
}

// leaders are the places of a block in widening rings that are clear all round, each with
// the leaders from there to the ends next to it, whatever these cross.
func (d *drawing) leaders(b block, around, ends []Pt, first, last int, clear float64) iter.Seq[led] {
	const least = 6 // a leader's length
	w, h := b.size()
	return func(yield func(led) bool) {
		for ring := first; ring <= last; ring++ {
			n := 8 + 2*ring
			for _, at := range around {
				for k := range n {
					angle := -math.Pi/4 + 2*math.Pi*float64(k)/float64(n)
					c := Pt{at.X + (float64(ring)*ringStep+w/2)*math.Cos(angle), at.Y + (float64(ring)*ringStep+h/2)*math.Sin(angle)}
					s := spot{boxAt(c, w, h), Start, 0, false}
					if !d.room.free(s.box.grown(clear)) {
						continue
					}
					edge := s.box.grown(1)
					near, some := nextTo(edge, ends)
					for _, to := range near[:some] {
						from := nearest(edge, to)
						if dist(from, to) >= least && !yield(led{b, s, from, to}) {
							return
						}
					}
				}
			}
		}
	}
}

// nextTo are the ends that lie next to an area, the nearest first: as many of near as
// there are some. Of those that are equally far the one across from its middle is first.
func nextTo(edge Box, ends []Pt) (near [5]Pt, some int) {
	type away struct{ edge, middle float64 }
	var far [len(near)]away
	for _, p := range ends {
		to := away{dist(nearest(edge, p), p), dist(edge.centre(), p)}
		k := some
		for k > 0 && (to.edge < far[k-1].edge || to.edge == far[k-1].edge && to.middle < far[k-1].middle) {
			k--
		}
		if k == len(near) {
			continue
		}
		some = min(some+1, len(near))
		copy(near[k+1:some], near[k:some-1])
		copy(far[k+1:some], far[k:some-1])
		near[k], far[k] = p, to
	}
	return near, some
}

// leadFar sets a block at the nearest free place, without a leader: its tag says
// what it is about.
func (d *drawing) leadFar(b block, at Pt, address string, dim bool) {
	w, h := b.size()
	for ring := 1; ; ring++ {
		n := 8 + ring
		for k := range n {
			angle := 2 * math.Pi * float64(k) / float64(n)
			c := Pt{at.X + (float64(ring)*ringStep+w/2)*math.Cos(angle), at.Y + (float64(ring)*ringStep+h/2)*math.Sin(angle)}
			if s := (spot{boxAt(c, w, h), Start, 0, false}); d.room.free(s.box.grown(clearance)) {
				d.set(b, s, address, dim)
				return
			}
		}
	}
}

// leader draws a thin line with an arrow head at what it points to.
func (d *drawing) leader(from, to Pt, address string, dim bool) {
	const long, half = 5, 1.3
	dx, dy := (to.X-from.X)/dist(from, to), (to.Y-from.Y)/dist(from, to)
	back := Pt{to.X - long*dx, to.Y - long*dy}
	d.add(Shape{Address: address, Layer: LabelLayer, Form: Polyline, Pts: []Pt{from, back}, Role: Faint, Weight: components.Hairline, Dim: dim},
		Shape{Address: address, Layer: LabelLayer, Form: Filled, Pts: []Pt{to, {back.X - half*dy, back.Y + half*dx}, {back.X + half*dy, back.Y - half*dx}}, Role: Faint, Dim: dim})
	d.room.takeSlope(from, to)
}

// nearest is the place of an area that lies nearest to another place.
func nearest(b Box, p Pt) Pt {
	return Pt{max(b.Min.X, min(b.Max.X, p.X)), max(b.Min.Y, min(b.Max.Y, p.Y))}
}
