package scene

import (
	"rigline/components"
)

// node is a place on the grid, counted row by row.
type node int32

// grid is the sheet in whole modules, and what lies on it.
type grid struct {
	x0, y0, w, h int // in modules

	square []square // by node
	knots  []knot   // the first is of the nodes that have none, and stays empty

	keys map[landingKey]int32
	jobs []*job
	find finder
}

// square is what is known of a node, side by side in memory and small, since a search
// asks for many.
type square struct {
	knot int32 // its knot, 0 for none
	rim  uint8 // the directions, a bit each, in which it is the last
	body bool  // within a symbol
	near bool  // at the edge of one
	text bool  // where text will stand
}

// knot is what the few nodes have besides to which a line has come or that are kept.
type knot struct {
	right edge     // the piece from the node to its right neighbour
	down  edge     // and to the one below
	kept  [2]int32 // landings, counted from 1, that a landing's node and the one before it are kept for
	busy  int32    // how many lines' nodes lie here
}

// edge is a grid piece that carries a line, or none. Lines that share a piece come
// from one landing, the group.
type edge struct {
	run   int32 // number of a job, 0 for none
	lines int32
	group int32
}

func newGrid(doc *components.Document, lands map[runEnd]landing) *grid {
	first, last := components.Point{}, components.Point{}
	started := false
	see := func(p components.Point) {
		if !started {
			first, last, started = p, p, true
		}
		first = components.Point{X: min(first.X, p.X), Y: min(first.Y, p.Y)}
		last = components.Point{X: max(last.X, p.X), Y: max(last.Y, p.Y)}
	}
	for _, p := range doc.Parts() {
		b := bodyOf(p, p.Kind.Symbol(p.Spec))
		see(components.Point{X: int(b.Min.X), Y: int(b.Min.Y)})
		see(components.Point{X: int(b.Max.X), Y: int(b.Max.Y)})
	}
	for _, r := range doc.Runs() {
		for _, p := range r.Path {
			see(p)
		}
	}
	const m = components.Module
	g := &grid{x0: floorDiv(first.X, m) - routeMargin, y0: floorDiv(first.Y, m) - routeMargin, keys: map[landingKey]int32{}}
	g.w = floorDiv(last.X, m) + routeMargin + 2 - g.x0
	g.h = floorDiv(last.Y, m) + routeMargin + 2 - g.y0
	n := g.w * g.h
	g.square, g.knots = make([]square, n), make([]knot, 1, 64*len(lands)+1)
	g.markRim()
	for _, p := range doc.Parts() {
		b := bodyOf(p, p.Kind.Symbol(p.Spec))
		g.fill(b.grown(m-0.5), func(q *square) { q.near = true })
		g.fill(b, func(q *square) { q.body = true })
		for _, l := range landingsOf(p) {
			if b.Holds(l.At) { // a stud: the bar is all there is
				continue
			}
			back := steps[(outward(l.Side)+2)%4]
			g.fill(Box{l.At, l.At}.with(Pt{l.At.X + float64(back.X*m), l.At.Y + float64(back.Y*m)}), func(q *square) { q.body = true })
		}
	}
	for _, p := range doc.Parts() {
		for _, l := range landingsOf(p) {
			at := components.Point{X: int(l.At.X), Y: int(l.At.Y)}
			k := g.key(landingKey{l.Ref, at})
			g.keep(g.at(at), k)
			g.clear(g.at(at))
		}
		g.openBars(p)
	}
	for _, r := range doc.Runs() {
		for _, end := range []runEnd{{r.ID, false}, {r.ID, true}} {
			l, ok := lands[end]
			if !ok {
				continue
			}
			if len(l.outs) > 1 {
				continue
			}
			if l.lead {
				n := g.at(l.at)
				g.keep(n, g.key(l.key))
				g.clear(n)
				g.square[n+g.step((l.outs[0]+2)%4)].body = true
			}
			for _, at := range append([]components.Point{l.at}, l.extra...) {
				g.keep(g.at(at)+g.step(l.outs[0]), g.key(l.key))
			}
		}
	}
	g.find = newFinder(n)
	return g
}

// openBars opens the node in the end of a bar to the line that leaves from its
// last stud.
func (g *grid) openBars(p components.Part) {
	body := p.Kind.Symbol(p.Spec).Body
	for _, port := range p.Ports() {
		for _, o := range port.Landings {
			if o.Pole != "" {
				continue
			}
			l := landingOn(p, port, body, o.At)
			last := l.outs[len(l.outs)-1]
			past := g.at(l.at) + g.step(last)
			if len(l.outs) > 1 && last != (l.outs[0]+2)%4 && g.square[past].body {
				g.square[past].body = false
				g.keep(past, g.key(l.key))
			}
		}
	}
}

// key numbers a landing. Numbers are only compared for being the same.
func (g *grid) key(k landingKey) int32 {
	if n, ok := g.keys[k]; ok {
		return n
	}
	n := int32(len(g.keys) + 1)
	g.keys[k] = n
	return n
}

// keep sets a node aside for a landing; a node may serve two that face each other.
func (g *grid) keep(n node, key int32) {
	k := &g.tie(n).kept
	switch {
	case k[0] == 0 || k[0] == key:
		k[0] = key
	case k[1] == 0:
		k[1] = key
	}
}

func (q *knot) keptFor(j *job) bool {
	k := q.kept
	return k[0] == j.a || k[0] == j.b || k[1] != 0 && (k[1] == j.a || k[1] == j.b)
}

func (g *grid) at(p components.Point) node {
	x := min(max(roundDiv(p.X, components.Module)-g.x0, 0), g.w-1)
	y := min(max(roundDiv(p.Y, components.Module)-g.y0, 0), g.h-1)
	return node(y*g.w + x)
}

func (g *grid) point(n node) components.Point {
	return components.Point{X: (int(n)%g.w + g.x0) * components.Module, Y: (int(n)/g.w + g.y0) * components.Module}
}

func (g *grid) step(dir int) node { return node(steps[dir].Y*g.w + steps[dir].X) }

// edge is the piece that leads from a node in a direction, to be read; nil at the rim.
func (g *grid) edge(n node, dir int) *edge {
	if g.square[n].rim&(1<<dir) != 0 {
		return nil
	}
	switch dir {
	case east:
		return &g.knot(n).right
	case south:
		return &g.knot(n).down
	case west:
		return &g.knot(n - 1).right
	default:
		return &g.knot(n - node(g.w)).down
	}
}

// knot is that of a node, to be read.
func (g *grid) knot(n node) *knot { return &g.knots[g.square[n].knot] }

// tie gives a node a knot of its own, to be changed.
func (g *grid) tie(n node) *knot {
	q := &g.square[n]
	if q.knot == 0 {
		q.knot = int32(len(g.knots))
		g.knots = append(g.knots, knot{})
	}
	return &g.knots[q.knot]
}

// markRim tells the nodes in which directions they are the last.
func (g *grid) markRim() {
	for x := range g.w {
		g.square[x].rim |= 1 << north
		g.square[(g.h-1)*g.w+x].rim |= 1 << south
	}
	for y := range g.h {
		g.square[y*g.w].rim |= 1 << west
		g.square[y*g.w+g.w-1].rim |= 1 << east
	}
}

// clear opens a node to lines.
func (g *grid) clear(n node) { g.square[n].body, g.square[n].near = false, false }

// fill marks every node within an area.
func (g *grid) fill(b Box, mark func(*square)) {
	const m = components.Module
	x0, x1 := ceilDiv(b.Min.X, m)-g.x0, floorDiv(int(floor(b.Max.X)), m)-g.x0
	y0, y1 := ceilDiv(b.Min.Y, m)-g.y0, floorDiv(int(floor(b.Max.Y)), m)-g.y0
	for y := max(y0, 0); y <= min(y1, g.h-1); y++ {
		for x := max(x0, 0); x <= min(x1, g.w-1); x++ {
			mark(&g.square[y*g.w+x])
		}
	}
}

func floorDiv(a, b int) int {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}

func roundDiv(a, b int) int { return floorDiv(a+b/2, b) }

func ceilDiv(a float64, b int) int { return -floorDiv(int(floor(-a)), b) }

func floor(a float64) float64 {
	t := float64(int(a))
	if t > a {
		return t - 1
	}
	return t
}
