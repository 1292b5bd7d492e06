package session

import (
	"math"
	"math/rand/v2"
	"slices"

	"rigline/components"
)

// What a layout costs. A bend and a crossing are each one thing that the eye has
// to follow; a line through a symbol is worse than any detour.
const (
	costOfBend    = 1.0
	costOfCross   = 2.0
	costOfThrough = 8.0
	costOfShare   = 0.8   // two lines on one track, which the router has to part
	costPerUnit   = 0.003 // of length
	costOfOverlap = 60.0
	costOfBack    = 1.0  // power that flows to the left
	costOfBand    = 0.02 // for each unit outside the band of the part's region
	costOfTurn    = 0.4  // a part that does not lie as it was made
)

// Room that a symbol keeps for its words, and how far a lead runs straight out.
const (
	roomX  = 30
	roomY  = 26
	leadIn = 2 * components.Module
)

// place is a part's place and turn, as an index of quarter turns.
type place struct {
	at   components.Point
	turn int
}

// outlet is where a run may end at a port, seen from the part's centre, and the
// ways in which its line may leave.
type outlet struct {
	at   components.Point
	ways []components.Point
}

// lpart is a part in the layout: its symbol and its ports in each of the four turns.
type lpart struct {
	id      components.ID
	fixed   bool
	turns   bool // two ports on a line: it may lie along its run
	upright int  // the turn that it has on the sheet
	body    [4]components.Box
	ports   map[string]*[4][]outlet
	runs    []int
	low     int // the band of its region
	high    int
}

type lrun struct {
	from, to   int
	fromP, toP string
	feeds      bool // power flows along it, from from to to
	path       []components.Point
	alone      float64 // cost of its line by itself
}

// plan is a layout that is being improved. It guesses every run's line, which
// takes a thousandth of the time that routing it takes.
type plan struct {
	parts []lpart
	runs  []lrun
	at    []place
	cost  float64
}

func newPlan(doc *components.Document, places map[components.ID]components.Point, fixed func(components.ID) bool) *plan {
	g := &plan{}
	index := map[components.ID]int{}
	bands := map[region][2]int{}
	for _, p := range doc.Parts() {
		at, ok := places[p.ID]
		if !ok {
			at = p.At
		}
		index[p.ID] = len(g.parts)
		l := lpart{id: p.ID, fixed: fixed(p.ID), ports: map[string]*[4][]outlet{}, upright: quarter(p.Turn)}
		l.turns = len(p.Ports()) == 2 && p.Kind.Role != components.Stores
		for turn := range 4 {
			q := p
			q.Turn = turn * 90
			l.body[turn] = bodyOf(q)
			for _, port := range q.Ports() {
				if l.ports[port.Name] == nil {
					l.ports[port.Name] = &[4][]outlet{}
				}
				l.ports[port.Name][turn] = outlets(port, l.body[turn])
			}
		}
		b, seen := bands[regionOf(p)]
		if !seen {
			b = [2]int{at.Y, at.Y}
		}
		bands[regionOf(p)] = [2]int{min(b[0], at.Y), max(b[1], at.Y)}
		g.parts = append(g.parts, l)
		g.at = append(g.at, place{at, l.upright})
	}
	for i, p := range doc.Parts() {
		b := bands[regionOf(p)]
		g.parts[i].low, g.parts[i].high = b[0], b[1]
	}
	for _, r := range doc.Runs() {
		from, to := index[r.From.Part], index[r.To.Part]
		k := len(g.runs)
		a, _ := doc.Part(r.From.Part)
		b, _ := doc.Part(r.To.Part)
		ac := slices.ContainsFunc(doc.CoresOf(r), func(c components.Core) bool { return c.From.Hot() })
		g.runs = append(g.runs, lrun{from: from, to: to, fromP: r.From.Port, toP: r.To.Port, feeds: ac && regionOf(a) == acRegion && regionOf(b) == acRegion})
		g.parts[from].runs = append(g.parts[from].runs, k)
		if to != from {
			g.parts[to].runs = append(g.parts[to].runs, k)
		}
	}
	for k := range g.runs {
		g.guess(k)
	}
	g.cost = g.total()
	return g
}

func quarter(degrees int) int { return ((degrees/90)%4 + 4) % 4 }

// outlets are a port's landings. One on a thin symbol, as a bus bar's stud, may be
// left towards both sides.
func outlets(port components.Port, body components.Box) []outlet {
	ways := []components.Point{wayOf(port.Side)}
	if thin := min(body.Max.X-body.Min.X, body.Max.Y-body.Min.Y) <= components.Module && len(port.Landings) > 2; thin {
		ways = []components.Point{{X: 0, Y: 1}, {X: 0, Y: -1}}
		if body.Max.X-body.Min.X < body.Max.Y-body.Min.Y {
			ways = []components.Point{{X: 1}, {X: -1}}
		}
	}
	if len(port.Landings) == 0 {
		return []outlet{{port.At, ways}}
	}
	all := make([]outlet, len(port.Landings))
	for i, l := range port.Landings {
		all[i] = outlet{l.At, ways}
	}
	return all
}

func wayOf(s components.Side) components.Point {
	switch s {
	case components.Left:
		return components.Point{X: -1}
	case components.Right:
		return components.Point{X: 1}
	case components.Top:
		return components.Point{Y: -1}
	}
	return components.Point{Y: 1}
}

// nearest are the outlets of a run's end that lie best for its far end.
func (g *plan) nearest(part int, port string, far components.Point) []outlet {
	p := g.at[part]
	ports := g.parts[part].ports[port]
	if ports == nil {
		return []outlet{{p.at, []components.Point{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}}}}
	}
	all := ports[p.turn]
	best, least := 0, math.MaxInt
	for i, o := range all {
		if d := span(o.at.Add(p.at), far); d < least {
			best, least = i, d
		}
	}
	o := all[best]
	o.at = o.at.Add(p.at)
	return []outlet{o}
}

func span(a, b components.Point) int { return max(a.X-b.X, b.X-a.X) + max(a.Y-b.Y, b.Y-a.Y) }

// guess finds a run's line: the best of a few with right angles.
func (g *plan) guess(k int) {
	r := &g.runs[k]
	best := math.Inf(1)
	r.path = nil
	for _, a := range g.nearest(r.from, r.fromP, g.at[r.to].at) {
		for _, b := range g.nearest(r.to, r.toP, a.at) {
			for _, wa := range a.ways {
				for _, wb := range b.ways {
					p, q := along(a.at, wa, leadIn), along(b.at, wb, leadIn)
					mx, my := onModule((p.X+q.X)/2), onModule((p.Y+q.Y)/2)
					for _, mid := range [][]components.Point{
						{{X: q.X, Y: p.Y}}, {{X: p.X, Y: q.Y}},
						{{X: mx, Y: p.Y}, {X: mx, Y: q.Y}}, {{X: p.X, Y: my}, {X: q.X, Y: my}},
					} {
						path := append(append([]components.Point{a.at, p}, mid...), q, b.at)
						path, ok := squared(path)
						if !ok {
							continue
						}
						if c := g.lineCost(path, r.from, r.to); c < best {
							best, r.path = c, path
						}
					}
				}
			}
		}
	}
	if r.path == nil { // every simple line turns back on itself
		a, b := g.at[r.from].at, g.at[r.to].at
		r.path = []components.Point{a, {X: b.X, Y: a.Y}, b}
		best = g.lineCost(r.path, r.from, r.to) + 4*costOfBend
	}
	r.alone = best
	if r.feeds && g.at[r.to].at.X < g.at[r.from].at.X {
		r.alone += costOfBack + costPerUnit*float64(g.at[r.from].at.X-g.at[r.to].at.X)
	}
}

func along(p, way components.Point, by int) components.Point {
	return components.Point{X: p.X + way.X*by, Y: p.Y + way.Y*by}
}

func onModule(v int) int { return v / components.Module * components.Module }

// squared leaves out what goes straight on; ok is false where the line turns back.
func squared(path []components.Point) ([]components.Point, bool) {
	out := make([]components.Point, 0, len(path))
	for _, p := range path {
		if n := len(out); n > 0 && out[n-1] == p {
			continue
		}
		if n := len(out); n > 1 {
			a, b := out[n-2], out[n-1]
			if a.X == b.X && b.X == p.X {
				if (b.Y-a.Y > 0) != (p.Y-b.Y > 0) {
					return nil, false
				}
				out[n-1] = p
				continue
			}
			if a.Y == b.Y && b.Y == p.Y {
				if (b.X-a.X > 0) != (p.X-b.X > 0) {
					return nil, false
				}
				out[n-1] = p
				continue
			}
		}
		out = append(out, p)
	}
	return out, true
}

// lineCost is what a line costs by itself: bends, length, and symbols in its way.
func (g *plan) lineCost(path []components.Point, from, to int) float64 {
	c := costOfBend * float64(max(0, len(path)-2))
	for i := 1; i < len(path); i++ {
		a, b := path[i-1], path[i]
		c += costPerUnit * float64(span(a, b))
		lo, hi := components.Point{X: min(a.X, b.X), Y: min(a.Y, b.Y)}, components.Point{X: max(a.X, b.X), Y: max(a.Y, b.Y)}
		for k := range g.parts {
			body := &g.parts[k].body[g.at[k].turn]
			at := g.at[k].at
			const rim = components.Module / 2
			in := rim
			if k == from || k == to {
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
func between(a, b []components.Point) float64 {
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

// partCost is what a part's place costs: symbols too near, and another band.
func (g *plan) partCost(k int) float64 {
	p, at := &g.parts[k], g.at[k]
	c := 0.0
	if at.at.Y < p.low-40 {
		c += costOfBand * float64(p.low-40-at.at.Y)
	}
	if at.at.Y > p.high+40 {
		c += costOfBand * float64(at.at.Y-p.high-40)
	}
	if at.turn != p.upright {
		c += costOfTurn
	}
	b := p.body[at.turn]
	for o := range g.parts {
		if o == k {
			continue
		}
		d, x := g.parts[o].body[g.at[o].turn], g.at[o].at
		w := min(at.at.X+b.Max.X+roomX, x.X+d.Max.X+roomX) - max(at.at.X+b.Min.X-roomX, x.X+d.Min.X-roomX)
		h := min(at.at.Y+b.Max.Y+roomY, x.Y+d.Max.Y+roomY) - max(at.at.Y+b.Min.Y-roomY, x.Y+d.Min.Y-roomY)
		if w > 0 && h > 0 {
			c += costOfOverlap + float64(min(w, h))
		}
	}
	return c
}

func (g *plan) total() float64 {
	c := 0.0
	for k := range g.parts {
		c += g.partCost(k)
	}
	for k := range g.runs {
		c += g.runs[k].alone
		for o := range k {
			c += between(g.runs[k].path, g.runs[o].path)
		}
	}
	return c
}

// local is what the given parts and the lines that change with them cost now.
func (g *plan) local(parts, runs []int) float64 {
	c := 0.0
	for _, k := range parts {
		c += 2 * g.partCost(k) // an overlap is the other part's too
	}
	mine := map[int]bool{}
	for _, k := range runs {
		c += g.runs[k].alone
		for o := range g.runs {
			if o != k && !mine[o] {
				c += between(g.runs[k].path, g.runs[o].path)
			}
		}
		mine[k] = true
	}
	return c
}

// touched are the runs whose line may change with the parts: their own, and those
// that run where they stand.
func (g *plan) touched(parts []int) []int {
	var runs []int
	for _, k := range parts {
		for _, r := range g.parts[k].runs {
			if !slices.Contains(runs, r) {
				runs = append(runs, r)
			}
		}
	}
	return runs
}

// try moves parts and keeps the move where the layout costs less, or, while it is
// hot, not much more.
func (g *plan) try(rnd *rand.Rand, heat float64, parts []int, to []place) bool {
	runs := g.touched(parts)
	before := g.local(parts, runs)
	was := make([]place, len(parts))
	lines := make([][]components.Point, len(runs))
	alone := make([]float64, len(runs))
	for i, k := range parts {
		was[i] = g.at[k]
		g.at[k] = to[i]
	}
	for i, k := range runs {
		lines[i], alone[i] = g.runs[k].path, g.runs[k].alone
		g.guess(k)
	}
	d := g.local(parts, runs) - before
	if d < -1e-9 || heat > 0 && rnd.Float64() < math.Exp(-d/heat) {
		g.cost += d
		return true
	}
	for i, k := range parts {
		g.at[k] = was[i]
	}
	for i, k := range runs {
		g.runs[k].path, g.runs[k].alone = lines[i], alone[i]
	}
	return false
}

// improve moves parts about as long as that makes the lines straighter. The same
// rig gives the same layout.
func (g *plan) improve(tries int, seed uint64) {
	rnd := rand.New(rand.NewPCG(seed, 2))
	var free []int
	for k := range g.parts {
		if !g.parts[k].fixed {
			free = append(free, k)
		}
	}
	if len(free) == 0 {
		return
	}
	const hot = 2.5
	for i := range tries {
		heat := hot * math.Pow(1-float64(i)/float64(tries), 2)
		if i > tries*9/10 {
			heat = 0
		}
		k := free[rnd.IntN(len(free))]
		switch n := rnd.IntN(20); {
		case n < 11: // level with a neighbour, so that a run is straight
			if to, ok := g.level(rnd, k); ok {
				g.try(rnd, heat, []int{k}, []place{to})
			}
		case n < 13 && g.parts[k].turns:
			to := g.at[k]
			to.turn = rnd.IntN(4)
			g.try(rnd, heat, []int{k}, []place{to})
		case n < 15: // two change places
			o := free[rnd.IntN(len(free))]
			if o != k {
				a, b := g.at[k], g.at[o]
				a.at, b.at = b.at, a.at
				g.try(rnd, heat, []int{k, o}, []place{a, b})
			}
		case n < 17: // a part and what hangs on it
			g.shove(rnd, heat, k)
		default:
			step := 2 * components.Module << rnd.IntN(4)
			to := g.at[k]
			to.at.X += (rnd.IntN(3) - 1) * step
			to.at.Y += (rnd.IntN(3) - 1) * step
			g.try(rnd, heat, []int{k}, []place{to})
		}
	}
}

// level is a place for a part in which one of its runs is straight: its port
// opposite to the other's, in the other's direction.
func (g *plan) level(rnd *rand.Rand, k int) (place, bool) {
	runs := g.parts[k].runs
	if len(runs) == 0 {
		return place{}, false
	}
	r := &g.runs[runs[rnd.IntN(len(runs))]]
	mine, other, myPort, otherPort := r.from, r.to, r.fromP, r.toP
	if mine != k {
		mine, other, myPort, otherPort = other, mine, otherPort, myPort
	}
	if mine == other {
		return place{}, false
	}
	to := g.at[k]
	if g.parts[k].turns && rnd.IntN(3) == 0 {
		to.turn = rnd.IntN(4)
	}
	a, b := g.parts[mine].ports[myPort], g.parts[other].ports[otherPort]
	if a == nil || b == nil {
		return place{}, false
	}
	outs, ends := a[to.turn], b[g.at[other].turn]
	o, e := outs[rnd.IntN(len(outs))], ends[rnd.IntN(len(ends))]
	way := e.ways[rnd.IntN(len(e.ways))]
	end := e.at.Add(g.at[other].at)
	if rnd.IntN(2) == 0 { // as far as it was, but level
		if way.X != 0 {
			to.at.Y = end.Y - o.at.Y
		} else {
			to.at.X = end.X - o.at.X
		}
		return to, true
	}
	at := along(end, way, (6+2*rnd.IntN(8))*components.Module)
	to.at = components.Point{X: at.X - o.at.X, Y: at.Y - o.at.Y}
	return to, true
}

// shove moves a part together with those that hang on it alone.
func (g *plan) shove(rnd *rand.Rand, heat float64, k int) {
	group := []int{k}
	for _, r := range g.parts[k].runs {
		o := g.runs[r].to
		if o == k {
			o = g.runs[r].from
		}
		if !g.parts[o].fixed && !slices.Contains(group, o) && (len(g.parts[o].runs) <= 2 || rnd.IntN(3) == 0) {
			group = append(group, o)
		}
	}
	dx, dy := (rnd.IntN(9)-4)*2*components.Module, (rnd.IntN(9)-4)*2*components.Module
	to := make([]place, len(group))
	for i, o := range group {
		to[i] = g.at[o]
		to[i].at = to[i].at.Add(components.Point{X: dx, Y: dy})
	}
	g.try(rnd, heat, group, to)
}
