package scene

import (
	"math"

	"rigline/components"
)

// Hit gives the address at a place: a port before a part before a run. Reach is
// how far off, in sheet units, a pointer may be. Runs are found by their distance
// from the line and not by the box around it.
func (s *Sheet) Hit(x, y, reach float64) (address string, ok bool) {
	at := Pt{x, y}
	best := math.Inf(1)
	for _, p := range s.Ports {
		if d := dist(p.At, at); d <= reach && d < best {
			best, address = d, p.Ref.String()
		}
	}
	if address != "" {
		return address, true
	}
	area := math.Inf(1)
	for id, b := range s.Bodies {
		if !b.grown(reach / 2).Holds(at) {
			continue
		}
		a := (b.Max.X - b.Min.X) * (b.Max.Y - b.Min.Y)
		if a < area || a == area && components.CompareIDs(id, components.ID(address)) < 0 {
			area, address = a, string(id)
		}
	}
	if address != "" {
		return address, true
	}
	best = math.Inf(1)
	for id, path := range s.Paths {
		d := distPath(path, at)
		if d <= reach && (d < best || d == best && components.CompareIDs(id, components.ID(address)) < 0) {
			best, address = d, string(id)
		}
	}
	return address, address != ""
}

// Holds tells whether a place lies in the box or on its edge.
func (b Box) Holds(p Pt) bool {
	return p.X >= b.Min.X && p.X <= b.Max.X && p.Y >= b.Min.Y && p.Y <= b.Max.Y
}

func (b Box) grown(by float64) Box {
	return Box{Pt{b.Min.X - by, b.Min.Y - by}, Pt{b.Max.X + by, b.Max.Y + by}}
}

// meets tells whether two areas share more than an edge.
func (b Box) meets(o Box) bool {
	return b.Min.X < o.Max.X && o.Min.X < b.Max.X && b.Min.Y < o.Max.Y && o.Min.Y < b.Max.Y
}

func (b Box) with(p Pt) Box {
	return Box{Pt{min(b.Min.X, p.X), min(b.Min.Y, p.Y)}, Pt{max(b.Max.X, p.X), max(b.Max.Y, p.Y)}}
}

func dist(a, b Pt) float64 { return math.Hypot(a.X-b.X, a.Y-b.Y) }

// distPath is the distance of a place from a line of several pieces.
func distPath(path []Pt, at Pt) float64 {
	best := math.Inf(1)
	for i := 1; i < len(path); i++ {
		best = min(best, distPiece(path[i-1], path[i], at))
	}
	return best
}

func distPiece(a, b, at Pt) float64 {
	dx, dy := b.X-a.X, b.Y-a.Y
	long := dx*dx + dy*dy
	if long == 0 {
		return dist(a, at)
	}
	t := max(0, min(1, ((at.X-a.X)*dx+(at.Y-a.Y)*dy)/long))
	return dist(Pt{a.X + t*dx, a.Y + t*dy}, at)
}
