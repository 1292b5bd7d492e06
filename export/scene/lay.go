package scene

import "math"

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
			g.tie(n).busy += sign
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
