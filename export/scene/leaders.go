package scene

import (
	"cmp"
	"math"
	"slices"

	"rigline/components"
)

// lead sets a block at the nearest free place around a symbol and draws a leader
// to it.
func (d *drawing) lead(b block, area Box, address string, dim bool) {
	// Close to another symbol it would be taken for that one's.
	const aloof = 2 * components.Module
	for _, try := range []struct {
		clear float64
		rings int
		lines bool
	}{{aloof, nearRings, false}, {aloof, nearRings, true}, {clearance, farRings, false}, {clearance, farRings, true}} {
		if d.leadFrom(b, []Pt{area.centre()}, []Pt{area.Min, {area.Max.X, area.Min.Y}, area.Max, {area.Min.X, area.Max.Y}}, try.rings, try.clear, try.lines, address, dim) {
			return
		}
	}
	d.leadFar(b, area.centre(), address, dim)
}

const (
	nearRings = 9  // of a leader's length before something else is tried
	farRings  = 30 // before it may cross anything
	ringStep  = 8
)

// leadToPath does so for a line, from around the middle of its pieces: first with
// leaders that cross nothing, then with such as cross other lines.
func (d *drawing) leadToPath(blocks []block, path []Pt, address string, dim bool) {
	var around, ends []Pt
	for _, p := range pieces(path) {
		around = append(around, Pt{(p.a.X + p.b.X) / 2, (p.a.Y + p.b.Y) / 2})
		for t := 6.0; t <= max(6, p.long-6); t += 6 {
			ends = append(ends, Pt{p.a.X + (p.b.X-p.a.X)*t/p.long, p.a.Y + (p.b.Y-p.a.Y)*t/p.long})
		}
	}
	for _, try := range []struct {
		rings int
		lines bool
	}{{nearRings, false}, {nearRings, true}, {farRings, false}, {farRings, true}} {
		for _, b := range blocks {
			if d.leadFrom(b, around, ends, try.rings, clearance, try.lines, address, dim) {
				return
			}
		}
	}
	d.leadFar(blocks[0], around[0], address, dim)
}

// leadFrom looks for a place in widening rings that is clear all round and from which
// a leader reaches one of the ends, and tells whether there was one.
func (d *drawing) leadFrom(b block, around, ends []Pt, rings int, clear float64, lines bool, address string, dim bool) bool {
	w, h := b.size()
	for ring := 1; ring <= rings; ring++ {
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
				slices.SortStableFunc(ends, func(p, q Pt) int { return cmp.Compare(dist(nearest(edge, p), p), dist(nearest(edge, q), q)) })
				for _, to := range ends[:min(len(ends), 5)] {
					from := nearest(edge, to)
					if dist(from, to) >= 6 && d.room.freeLine(from, to, 3.2, lines) {
						d.leader(from, to, address, dim)
						d.set(b, s, address, dim)
						return true
					}
				}
			}
		}
	}
	return false
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
