package scene

import (
	"math"
)

// finder is the memory of a search for the cheapest line (A*), kept from search to
// search. A state is a node and the direction in which the line reached it.
type finder struct {
	seen  seen
	limit int32 // lines that cost as much are not looked for
	haste int32 // how much the way ahead counts: 1 finds the cheapest line, more a good one sooner
	// patience is how many states a search looks at before it is in haste.
	patience int
	open     queue
}

func newFinder(nodes int) finder { return finder{patience: math.MaxInt, seen: newSeen(4 * nodes)} }

// leg is one search: from a node, leaving in some directions, to another, arriving
// in some directions.
type leg struct {
	from, to     node
	leave        uint8 // a bit a direction
	facing       int   // the direction in which the line comes, -1 at a landing
	arrive       uint8
	goalX, goalY int
}

const anyWay = 1<<east | 1<<south | 1<<west | 1<<north

// search gives the nodes of the cheapest line, both ends included, and its cost; one
// that takes long gives a good line.
func (g *grid) search(j *job, l leg) (nodes []node, facing int, cost int32) {
	nodes, facing, cost = g.seek(j, l, g.find.patience)
	if nodes == nil && g.find.haste > 1 { // no way but through a symbol or along another line
		return g.seek(j, l, math.MaxInt)
	}
	return nodes, facing, cost
}

func (g *grid) seek(j *job, l leg, patience int) (nodes []node, facing int, cost int32) {
	f := &g.find
	f.seen.begin()
	f.open.begin()
	f.haste = 1
	l.goalX, l.goalY = g.spot(l.to)
	for d := range 4 {
		if l.leave&(1<<d) == 0 {
			continue
		}
		c, ok := g.move(j, l.from, d, l.to)
		if !ok {
			continue
		}
		if l.facing >= 0 && d != l.facing {
			c += costBend
		}
		f.push(int32(l.from+g.step(d))*4+int32(d), l.ahead(g, l.from+g.step(d), d), c, -1)
	}
	for looked := 0; f.open.size > 0; looked++ {
		if looked == patience {
			f.hurry(g, l)
		}
		s := f.open.pop()
		at := f.seen.find(s)
		if at.shut {
			continue
		}
		at.shut = true
		cost := at.cost
		n, d := node(s/4), int(s%4)
		if n == l.to {
			if l.arrive&(1<<d) != 0 {
				return f.trace(l.from, s), d, cost
			}
			continue
		}
		x, y := g.spot(n)
		turn := int32(costBend)
		if q := g.knot(n); q.busy > 0 && !q.keptFor(j) && !g.fellow(n, j) {
			turn += costForced
		}
		for nd := range 4 {
			if nd == (d+2)%4 {
				continue
			}
			c, ok := g.move(j, n, nd, l.to)
			if !ok {
				continue
			}
			if nd != d {
				c += turn
			}
			if f.haste > 1 && c >= costForced {
				continue // haste is no need
			}
			f.push(int32(n+g.step(nd))*4+int32(nd), l.least(x+steps[nd].X, y+steps[nd].Y, nd), cost+c, s)
		}
	}
	return nil, l.facing, math.MaxInt32 / 4
}

// move is the cost of a step of a line that leads to end; ok is false at the rim.
func (g *grid) move(j *job, n node, dir int, end node) (cost int32, ok bool) {
	e := g.edge(n, dir)
	if e == nil {
		return 0, false
	}
	cost = costStep
	shared := false
	if e.run != 0 && e.run != j.num {
		if _, ok := g.share(e, j); ok {
			cost, shared = cost+costShared, true
		} else {
			cost += costForced
		}
	}
	to := n + g.step(dir)
	if to == end {
		return cost, true
	}
	at := &g.square[to]
	q := &g.knots[at.knot]
	own := q.keptFor(j)
	switch {
	case q.kept[0] != 0 && !own, at.body:
		cost += costForced
	case own:
	default:
		if q.busy > 0 && !shared {
			cost += g.meet(to, dir, j)
		}
		if at.near {
			cost += costNear
		}
		if at.text {
			cost += costText
		}
	}
	for _, side := range [2]int{(dir + 1) % 4, (dir + 3) % 4} {
		if g.square[n].rim&(1<<side) != 0 {
			continue
		}
		m := n + g.step(side)
		if g.knot(m).busy == 0 { // no line, so no piece of one
			continue
		}
		if b := g.edge(m, dir); b != nil && b.run != 0 && b.run != j.num {
			cost += costBeside
		}
	}
	return cost, true
}

// meet is the cost of coming to a node where another line lies: a clean crossing,
// a join with a line of the same landing, or else what must not be.
func (g *grid) meet(n node, dir int, j *job) int32 {
	on := func(d int) bool { e := g.edge(n, d); return e != nil && e.run != 0 && e.run != j.num }
	if on((dir+1)%4) && on((dir+3)%4) && !on(dir) {
		return costCross
	}
	if g.fellow(n, j) {
		return 0
	}
	return costForced
}

// fellow tells whether a line that the job may join lies at a node.
func (g *grid) fellow(n node, j *job) bool {
	for d := range 4 {
		if e := g.edge(n, d); e != nil && e.run != 0 && e.run != j.num {
			if _, ok := g.share(e, j); ok {
				return true
			}
		}
	}
	return false
}

// share tells whether a job may run along a piece that carries other lines, and by
// which landing they belong together.
func (g *grid) share(e *edge, j *job) (group int32, ok bool) {
	a, b := j.a, j.b
	if e.group != 0 {
		return e.group, e.group == a || e.group == b
	}
	o := g.jobs[e.run-1]
	c, d := o.a, o.b
	switch {
	case a == c || a == d:
		return a, true
	case b == c || b == d:
		return b, true
	}
	return 0, false
}

func (f *finder) push(s, ahead, cost, from int32) {
	at, fresh := f.seen.add(s)
	if !fresh && (at.shut || at.cost <= cost) {
		return
	}
	at.cost, at.from = cost, from
	if cost+ahead >= f.limit {
		return
	}
	f.open.push(cost+f.haste*ahead, s)
}

// hurry makes the rest of a search prefer what is nearer to its end.
func (f *finder) hurry(g *grid, l leg) {
	f.haste = inHaste
	f.open.again(func(s int32) int32 {
		return f.seen.find(s).cost + f.haste*l.ahead(g, node(s/4), int(s%4))
	})
}

// ahead is the least that the way from a node costs to the end, where the line has
// come to it in direction d.
func (l *leg) ahead(g *grid, n node, d int) int32 {
	x, y := g.spot(n)
	return l.least(x, y, d)
}

// least is the same for the node in a column and a row.
func (l *leg) least(x, y, d int) int32 {
	dx, dy := l.goalX-x, l.goalY-y
	return int32(costStep*(abs(dx)+abs(dy))) + costBend*int32(leastBends[d][side(dx)][side(dy)][l.arrive])
}

// spot is the column and the row of a node.
func (g *grid) spot(n node) (x, y int) {
	row := uint32(n) / uint32(g.w)
	return int(uint32(n) - row*uint32(g.w)), int(row)
}

// side is on which side a distance leads: 0 back, 1 nowhere, 2 on.
func side(v int) int {
	switch {
	case v < 0:
		return 0
	case v > 0:
		return 2
	}
	return 1
}

// leastBends is fewestBends by direction, sides and ways to arrive.
var leastBends = func() (all [4][3][3][16]int8) {
	for d := range 4 {
		for x := range 3 {
			for y := range 3 {
				for arrive := range uint8(16) {
					all[d][x][y][arrive] = int8(fewestBends(d, x-1, y-1, arrive))
				}
			}
		}
	}
	return all
}()

// fewestBends is how often a line that comes in direction d must turn at least to
// reach a place dx, dy away, arriving in one of some directions, were nothing in
// its way.
func fewestBends(d, dx, dy int, arrive uint8) int {
	ahead := dx*steps[d].X + dy*steps[d].Y
	best := 4
	for a := range 4 {
		if arrive&(1<<a) == 0 {
			continue
		}
		n := 4
		switch (a - d + 4) % 4 {
		case 0:
			aside := dx*steps[d].Y - dy*steps[d].X
			switch {
			case ahead >= 0 && aside == 0:
				n = 0
			case ahead >= 0:
				n = 2
			}
		case 2:
			if dx*steps[d].Y-dy*steps[d].X != 0 {
				n = 2
			}
		default:
			n = 3
			if ahead >= 0 && dx*steps[a].X+dy*steps[a].Y >= 0 {
				n = 1
			}
		}
		best = min(best, n)
	}
	return best
}

func (f *finder) trace(from node, s int32) []node {
	var back []node
	for ; s >= 0; s = f.seen.find(s).from {
		back = append(back, node(s/4))
	}
	nodes := make([]node, 0, len(back)+1)
	nodes = append(nodes, from)
	for i := len(back) - 1; i >= 0; i-- {
		nodes = append(nodes, back[i])
	}
	return nodes
}
