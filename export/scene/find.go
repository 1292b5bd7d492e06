package scene

import (
	"math"
	"math/bits"

	"rigline/components"
)

// finder is the memory of a search for the cheapest line (A*), kept from search to
// search. A state is a node and the direction in which the line reached it.
type finder struct {
	seen  seen
	limit int32 // lines that cost as much are not looked for
	haste int32 // how much the way ahead counts: 1 finds the cheapest line, more a good one sooner
	// patience is how many states a search looks at before it is in haste.
	patience int
	heap     []open
	seq      int32
}

type open struct{ guess, seq, state int32 }

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
	f.heap, f.seq, f.haste = f.heap[:0], 0, 1
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
	for looked := 0; len(f.heap) > 0; looked++ {
		if looked == patience {
			f.hurry(g, l)
		}
		s := f.pop().state
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
		if g.square[n].busy > 0 && !g.keptFor(n, j) && !g.fellow(n, j) {
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
	own, at := g.keptFor(to, j), &g.square[to]
	switch {
	case at.kept[0] != 0 && !own, at.body:
		cost += costForced
	case own:
	default:
		if at.busy > 0 && !shared {
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
		if out := g.edge(n, side); out != nil {
			if b := g.edge(n+g.step(side), dir); b != nil && b.run != 0 && b.run != j.num {
				cost += costBeside
			}
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
	f.seq++
	f.heap = append(f.heap, open{cost + f.haste*ahead, f.seq, s})
	f.rise(len(f.heap) - 1)
}

// rise brings an entry of the heap to its place from below.
func (f *finder) rise(i int) {
	for i > 0 {
		up := (i - 1) / 2
		if !f.heap[i].before(f.heap[up]) {
			return
		}
		f.heap[i], f.heap[up] = f.heap[up], f.heap[i]
		i = up
	}
}

// hurry makes the rest of a search prefer what is nearer to its end.
func (f *finder) hurry(g *grid, l leg) {
	f.haste = inHaste
	for i := range f.heap {
		e := &f.heap[i]
		e.guess = f.seen.find(e.state).cost + f.haste*l.ahead(g, node(e.state/4), int(e.state%4))
	}
	for i := range f.heap {
		f.rise(i)
	}
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

// before settles the order of equal guesses by age, the younger first, so that a
// line goes on as it went; the result is the same every time.
func (a open) before(b open) bool {
	return a.guess < b.guess || a.guess == b.guess && a.seq > b.seq
}

func (f *finder) pop() open {
	top := f.heap[0]
	last := len(f.heap) - 1
	f.heap[0] = f.heap[last]
	f.heap = f.heap[:last]
	for i := 0; ; {
		c := 2*i + 1
		if c >= last {
			break
		}
		if c+1 < last && f.heap[c+1].before(f.heap[c]) {
			c++
		}
		if !f.heap[c].before(f.heap[i]) {
			break
		}
		f.heap[i], f.heap[c] = f.heap[c], f.heap[i]
		i = c
	}
	return top
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

// route finds a job's line and lays it down.
func (g *grid) route(j *job) { g.routeBelow(j, math.MaxInt32) }

// routeBelow does so only if the line costs less than a limit; else ok is false and
// nothing is laid.
func (g *grid) routeBelow(j *job, limit int32) (ok bool) {
	j.nodes, j.cost = nil, 0
	at, facing := g.at(j.from.at), -1
	leave := ways(j.from.outs)
	j.nodes = append(j.nodes, at)
	for i := 0; i <= len(j.via); i++ {
		to, arrive := g.at(j.to.at), ways(inward(j.to.outs))
		if i < len(j.via) {
			to, arrive = g.at(j.via[i]), anyWay
		}
		if to == at {
			continue
		}
		g.find.limit = limit - j.cost
		nodes, face, cost := g.search(j, leg{from: at, to: to, leave: leave, facing: facing, arrive: arrive})
		if nodes == nil && limit < math.MaxInt32 {
			j.nodes = nil
			return false
		}
		if nodes == nil {
			nodes = []node{at, to}
		}
		j.nodes = append(j.nodes, nodes[1:]...)
		j.cost += cost
		at, facing, leave = to, face, anyWay
		if face >= 0 {
			leave &^= 1 << ((face + 2) % 4)
		}
	}
	g.lay(j, 1, j.nodes)
	return true
}

func ways(dirs []int) uint8 {
	var w uint8
	for _, d := range dirs {
		w |= 1 << d
	}
	return w
}

func inward(outs []int) []int {
	in := make([]int, len(outs))
	for i, d := range outs {
		in[i] = (d + 2) % 4
	}
	return in
}

// lift takes a job's line off the grid.
func (g *grid) lift(j *job) { g.lay(j, -1, j.nodes) }

// lay adds lines of a job to the grid, or with -1 takes them off.
func (g *grid) lay(j *job, sign int32, lines ...[]node) {
	for _, line := range lines {
		for i, n := range line {
			g.square[n].busy += sign
			if i == 0 {
				continue
			}
			d, ok := g.heading(line[i-1], n)
			if !ok {
				continue
			}
			g.edge(line[i-1], d).lay(g, j, sign, line[i-1], n)
		}
	}
}

func (e *edge) lay(g *grid, j *job, sign int32, a, b node) {
	switch {
	case sign > 0 && e.run == 0:
		*e = edge{run: j.num, lines: 1}
	case sign > 0:
		if e.run != j.num {
			if group, ok := g.share(e, j); ok {
				e.group = group
			}
		}
		e.lines++
	case e.lines <= 1:
		*e = edge{}
	default:
		e.lines--
		if e.run == j.num {
			e.run = g.another(j, a, b)
		}
		if e.lines == 1 {
			e.group = 0
		}
	}
}

// another finds a line other than j's on the piece between two nodes.
func (g *grid) another(j *job, a, b node) int32 {
	for _, o := range g.jobs {
		if o == j {
			continue
		}
		for _, line := range g.lines(o) {
			for i := 1; i < len(line); i++ {
				if line[i-1] == a && line[i] == b || line[i-1] == b && line[i] == a {
					return o.num
				}
			}
		}
	}
	return j.num
}

// heading is the direction between neighbouring nodes; ok is false where they are none.
func (g *grid) heading(a, b node) (dir int, ok bool) {
	for d := range 4 {
		if a+g.step(d) == b && g.edge(a, d) != nil {
			return d, true
		}
	}
	return 0, false
}

// lines are a job's line and its tails.
func (g *grid) lines(j *job) [][]node {
	all := make([][]node, 0, 3)
	if len(j.nodes) > 1 {
		all = append(all, j.nodes)
	}
	return append(all, j.tails...)
}

// tailsOf are the short pieces from the further leads of a port to the place just
// outside the lead on which the line lands.
func (g *grid) tailsOf(l landing) [][]node {
	var tails [][]node
	for _, x := range l.extra {
		goal := g.at(l.at) + g.step(l.outs[0])
		n := g.at(x)
		tail := []node{n}
		for n += g.step(l.outs[0]); ; {
			tail = append(tail, n)
			if n == goal || len(tail) > 64 {
				break
			}
			p, q := g.point(n), g.point(goal)
			switch {
			case p.X < q.X:
				n += g.step(east)
			case p.X > q.X:
				n += g.step(west)
			case p.Y < q.Y:
				n += g.step(south)
			default:
				n += g.step(north)
			}
		}
		tails = append(tails, tail)
	}
	return tails
}

// place is a node on the sheet.
func (g *grid) place(n node) Pt {
	p := g.point(n)
	return Pt{float64(p.X), float64(p.Y)}
}

// corners leaves out the nodes of a line at which it goes straight on.
func (g *grid) corners(nodes []node) []Pt {
	var pts []Pt
	for i, n := range nodes {
		if i > 0 && i < len(nodes)-1 && n-nodes[i-1] == nodes[i+1]-n {
			continue
		}
		pts = append(pts, g.place(n))
	}
	return pts
}

// result reads lines, hops and dots off the grid.
func (g *grid) result() *routes {
	r := &routes{paths: map[components.ID][]Pt{}, tails: map[components.ID][][]Pt{}, hops: map[components.ID][]Pt{}}
	type ray struct {
		job  *job
		dirs uint8
	}
	rays := map[node][]ray{}
	for _, j := range g.jobs {
		r.paths[j.run] = g.corners(j.nodes)
		for _, t := range j.tails {
			r.tails[j.run] = append(r.tails[j.run], g.corners(t))
		}
		for _, line := range g.lines(j) {
			for i, n := range line {
				if g.square[n].busy < 2 {
					continue
				}
				var dirs uint8
				if i > 0 {
					if d, ok := g.heading(n, line[i-1]); ok {
						dirs |= 1 << d
					}
				}
				if i < len(line)-1 {
					if d, ok := g.heading(n, line[i+1]); ok {
						dirs |= 1 << d
					}
				}
				rays[n] = append(rays[n], ray{j, dirs})
				if dirs == 1<<east|1<<west && g.crossed(n, j) {
					r.hops[j.run] = append(r.hops[j.run], g.place(n))
				}
			}
		}
	}
	seen := map[node]bool{}
	for _, j := range g.jobs {
		for _, line := range g.lines(j) {
			for _, n := range line {
				if g.square[n].busy < 2 || seen[n] || len(rays[n]) < 2 {
					continue
				}
				seen[n] = true
				own := ray{}
				for _, a := range rays[n] {
					dirs, joined := a.dirs, false
					for _, b := range rays[n] {
						if a.dirs&b.dirs != 0 || a.job == b.job || g.lands(n, a.job) && g.lands(n, b.job) {
							joined = joined || b != a
							dirs |= b.dirs
						}
					}
					if joined && bits.OnesCount8(dirs) >= bits.OnesCount8(own.dirs) {
						own = ray{a.job, dirs}
					}
				}
				if own.job != nil && bits.OnesCount8(own.dirs) >= 3 {
					r.dots = append(r.dots, dot{g.place(n), own.job.run})
				}
			}
		}
	}
	return r
}

// lands tells whether a job's line ends at a node.
func (g *grid) lands(n node, j *job) bool {
	return len(j.nodes) > 0 && (n == j.nodes[0] || n == j.nodes[len(j.nodes)-1])
}

// crossed tells whether another line goes straight up and down through a node.
func (g *grid) crossed(n node, j *job) bool {
	up, down := g.edge(n, north), g.edge(n, south)
	return up != nil && down != nil && up.run != 0 && down.run != 0 && up.run != j.num && down.run != j.num
}
