package session

import (
	"math"

	"rigline/components"
)

// What a layout costs. A bend and a crossing are each one thing that the eye has
// to follow; a line through a symbol is worse than any detour.
const (
	costOfBend    = 1.0
	costOfCross   = 3.0
	costOfThrough = 8.0
	costOfShare   = 0.8   // two lines on one track, which the router has to part
	costPerUnit   = 0.005 // of length
	costOfOverlap = 60.0
	costOfBack    = 1.0   // power that flows to the left
	costOfOrder   = 0.002 // for each unit by which a part of a lower region lies too high
	costOfTurn    = 0.4   // a part that does not lie as it was made
	costOfWidth   = 0.003 // for each unit of the sheet
	costOfHeight  = 0.008 // which is wider than high
	costOfCramp   = 1.0   // a line without room for its words
	costOfSide    = 0.002 // for each unit away from the side of the sheet where a part is looked for
)

// lineCost is what a line costs by itself: bends, length, too little room for its
// words, and symbols in its way. It is not worked out further than to most.
func (g *plan) lineCost(l *line, r *lrun, most float64) float64 {
	path := l.corners()
	c := costOfBend*float64(max(0, len(path)-2)) + r.cramp(path)
	for i := 1; i < len(path); i++ {
		c += costPerUnit * float64(span(path[i-1], path[i]))
	}
	for i := 1; i < len(path) && c < most; i++ {
		a, b := path[i-1], path[i]
		lo, hi := components.Point{X: min(a.X, b.X), Y: min(a.Y, b.Y)}, components.Point{X: max(a.X, b.X), Y: max(a.Y, b.Y)}
		for k := range g.at {
			body, at := &g.parts[k].body[g.at[k].turn], g.at[k].at
			const rim = components.Module / 2
			in := rim
			if k == r.from || k == r.to {
				in = -rim // its own symbol is met at the port
			}
			if hi.X > at.X+body.Min.X-in && lo.X < at.X+body.Max.X+in && hi.Y > at.Y+body.Min.Y-in && lo.Y < at.Y+body.Max.Y+in {
				c += costOfThrough
			}
		}
	}
	return c
}

// between is what two lines cost each other.
func between(l, m *line) float64 {
	if l.box.Min.X > m.box.Max.X || m.box.Min.X > l.box.Max.X || l.box.Min.Y > m.box.Max.Y || m.box.Min.Y > l.box.Max.Y {
		return 0
	}
	a, b := l.corners(), m.corners()
	c := 0.0
	for i := 1; i < len(a); i++ {
		p, q := a[i-1], a[i]
		for k := 1; k < len(b); k++ {
			r, s := b[k-1], b[k]
			switch {
			case p.X == q.X && r.Y == s.Y:
				if p.X > min(r.X, s.X) && p.X < max(r.X, s.X) && r.Y > min(p.Y, q.Y) && r.Y < max(p.Y, q.Y) {
					c += costOfCross
				}
			case p.Y == q.Y && r.X == s.X:
				if r.X > min(p.X, q.X) && r.X < max(p.X, q.X) && p.Y > min(r.Y, s.Y) && p.Y < max(r.Y, s.Y) {
					c += costOfCross
				}
			case p.X == q.X && r.X == s.X && p.X == r.X:
				if min(max(p.Y, q.Y), max(r.Y, s.Y))-max(min(p.Y, q.Y), min(r.Y, s.Y)) > leadIn {
					c += costOfShare
				}
			case p.Y == q.Y && r.Y == s.Y && p.Y == r.Y:
				if min(max(p.X, q.X), max(r.X, s.X))-max(min(p.X, q.X), min(r.X, s.X)) > leadIn {
					c += costOfShare
				}
			}
		}
	}
	return c
}

// cramp is the cost of a line of which no straight piece has room for its words:
// level ones along it, upright ones beside it.
func (r *lrun) cramp(path []components.Point) float64 {
	const beside = 36.0
	short := 1.0
	for i := 1; i < len(path); i++ {
		long, need := float64(span(path[i-1], path[i])), r.words
		if path[i].X == path[i-1].X {
			need = beside
		}
		short = min(short, max(0, 1-long/(need+2*leadIn/2)))
	}
	return costOfCramp * short
}

// partCost is what a part's place costs: symbols too near, those of a lower region
// above it, and how far it is from where it is looked for.
func (g *plan) partCost(k int) float64 {
	p, at := &g.parts[k], g.at[k]
	c := 0.0
	if at.turn != p.upright {
		c += costOfTurn
	}
	b := p.air[at.turn]
	for o := range g.parts {
		q, x := &g.parts[o], g.at[o].at
		if q.region != p.region && g.of[o] != g.of[k] {
			low := at.at.Y - x.Y
			if q.region < p.region {
				low = -low
			}
			const apart = 4 * components.Module
			if low += apart; low > 0 && !(p.region != acRegion && q.region != acRegion) {
				c += costOfOrder * float64(low) / 4
			}
		}
		if o == k || g.of[o] == g.of[k] {
			continue
		}
		d := q.air[g.at[o].turn]
		w := min(at.at.X+b.Max.X, x.X+d.Max.X) - max(at.at.X+b.Min.X, x.X+d.Min.X)
		h := min(at.at.Y+b.Max.Y, x.Y+d.Max.Y) - max(at.at.Y+b.Min.Y, x.Y+d.Min.Y)
		if w > 0 && h > 0 {
			c += costOfOverlap + float64(min(w, h))
		}
	}
	return c
}

// extent is what the sheet's size costs, and how far parts are from the side where
// they are looked for.
func (g *plan) extent() float64 {
	low, high := components.Point{X: math.MaxInt, Y: math.MaxInt}, components.Point{X: math.MinInt, Y: math.MinInt}
	for k := range g.parts {
		b, at := &g.parts[k].body[g.at[k].turn], g.at[k].at
		low = components.Point{X: min(low.X, at.X+b.Min.X), Y: min(low.Y, at.Y+b.Min.Y)}
		high = components.Point{X: max(high.X, at.X+b.Max.X), Y: max(high.Y, at.Y+b.Max.Y)}
	}
	c := costOfWidth*float64(high.X-low.X) + costOfHeight*float64(high.Y-low.Y)
	away := 0
	for k := range g.parts {
		at := g.at[k].at
		switch side := g.parts[k].side; {
		case side.X < 0:
			away += at.X - low.X
		case side.X > 0:
			away += high.X - at.X
		}
		if g.parts[k].side.Y < 0 {
			away += at.Y - low.Y
		}
	}
	return c + costOfSide*float64(away)
}

func (g *plan) total() float64 {
	c := g.extent()
	for k := range g.parts {
		c += g.partCost(k)
	}
	for k := range g.runs {
		c += g.runs[k].line.alone
		for o := range k {
			c += between(&g.runs[k].line, &g.runs[o].line)
		}
	}
	return c
}

// local is what the given parts and the lines that change with them cost now.
func (g *plan) local(parts, runs []int) float64 {
	c := g.extent()
	for _, k := range parts {
		c += 2 * g.partCost(k) // an overlap is the other part's too
	}
	for _, k := range runs {
		c += g.runs[k].line.alone
		for o := range g.runs {
			if o != k && !g.mine[o] {
				c += between(&g.runs[k].line, &g.runs[o].line)
			}
		}
		g.mine[k] = true
	}
	for _, k := range runs {
		g.mine[k] = false
	}
	return c
}

// touched are the runs whose line changes with parts that have been moved: their own,
// and those that get another stud of a bar that they share with them.
func (g *plan) touched(parts []int) []int {
	var runs []int
	add := func(r int) {
		if !g.mine[r] {
			g.mine[r] = true
			runs = append(runs, r)
		}
	}
	for _, k := range parts {
		for _, r := range g.parts[k].runs {
			add(r)
		}
	}
	for _, r := range runs[:len(runs):len(runs)] {
		for _, bar := range g.runs[r].bars {
			if bar == nil {
				continue
			}
			for _, e := range bar.ends {
				if o := &g.runs[e.run]; !g.mine[e.run] && g.stud(bar, e.run, e.end) != o.studs[e.end] {
					add(e.run)
				}
			}
		}
	}
	for _, r := range runs {
		g.mine[r] = false
	}
	return runs
}
