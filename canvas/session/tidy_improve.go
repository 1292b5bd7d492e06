package session

import (
	"math"
	"math/rand/v2"
	"slices"

	"rigline/components"
)

// try moves parts and keeps the move where the layout costs less, or, while it is
// hot, not much more.
func (g *plan) try(rnd *rand.Rand, heat float64, parts []int, to []place) bool {
	was := make([]place, len(parts))
	put := func(places []place) {
		for i, k := range parts {
			g.at[k] = places[i]
		}
	}
	for i, k := range parts {
		was[i] = g.at[k]
	}
	put(to)
	runs := g.touched(parts)
	put(was)
	before := g.local(parts, runs)
	put(to)
	lines, studs := make([]line, len(runs)), make([][2]int, len(runs))
	for i, k := range runs {
		lines[i], studs[i] = g.runs[k].line, g.runs[k].studs
		g.guess(k)
	}
	d := g.local(parts, runs) - before
	if d < -1e-9 || heat > 0 && rnd.Float64() < math.Exp(-d/heat) {
		g.cost += d
		return true
	}
	put(was)
	for i, k := range runs {
		g.runs[k].line, g.runs[k].studs = lines[i], studs[i]
	}
	return false
}

// improve moves blocks about as long as that makes the lines straighter and the
// sheet smaller. The same rig gives the same layout.
func (g *plan) improve(tries int, seed uint64) {
	rnd := rand.New(rand.NewPCG(seed, 2))
	var free []int
	for k := range g.blocks {
		if !g.parts[g.blocks[k][0]].fixed {
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
		b := free[rnd.IntN(len(free))]
		k := g.blocks[b][rnd.IntN(len(g.blocks[b]))]
		switch n := rnd.IntN(40); {
		case n < 22: // level with a neighbour, so that a run is straight
			if to, ok := g.level(rnd, k); ok {
				g.carry(rnd, heat, []int{b}, k, to)
			}
		case n < 26 && g.parts[k].turns && len(g.blocks[b]) == 1:
			to := g.at[k]
			to.turn = rnd.IntN(4)
			g.try(rnd, heat, []int{k}, []place{to})
		case n < 29: // two change places
			o := free[rnd.IntN(len(free))]
			if o != b {
				g.exchange(rnd, heat, b, o)
			}
		case n < 33: // a block and what hangs on it
			g.shove(rnd, heat, b)
		case n < 34: // all beyond a line come nearer, or make room
			g.cut(rnd, heat, free, rnd.IntN(2) == 0, g.begins(b), (rnd.IntN(9)-6)*2*components.Module)
		default:
			step := 2 * components.Module << rnd.IntN(4)
			to := g.at[k]
			to.at.X += (rnd.IntN(3) - 1) * step
			to.at.Y += (rnd.IntN(3) - 1) * step
			g.carry(rnd, heat, []int{b}, k, to)
		}
	}
	g.close(rnd, free)
}

// carry moves blocks by as much as brings one of their parts to a place; where it
// turns, the block is that part alone.
func (g *plan) carry(rnd *rand.Rand, heat float64, blocks []int, k int, to place) bool {
	by := components.Point{X: to.at.X - g.at[k].at.X, Y: to.at.Y - g.at[k].at.Y}
	var parts []int
	var places []place
	for _, b := range blocks {
		for _, o := range g.blocks[b] {
			at := g.at[o]
			at.at = at.at.Add(by)
			if o == k {
				at.turn = to.turn
			}
			parts, places = append(parts, o), append(places, at)
		}
	}
	return g.try(rnd, heat, parts, places)
}

// exchange lets two blocks change places.
func (g *plan) exchange(rnd *rand.Rand, heat float64, a, b int) {
	p, q := g.at[g.blocks[a][0]].at, g.at[g.blocks[b][0]].at
	var parts []int
	var places []place
	for i, block := range [2]int{a, b} {
		by := components.Point{X: q.X - p.X, Y: q.Y - p.Y}
		if i == 1 {
			by = components.Point{X: -by.X, Y: -by.Y}
		}
		for _, o := range g.blocks[block] {
			parts, places = append(parts, o), append(places, place{g.at[o].at.Add(by), g.at[o].turn})
		}
	}
	g.try(rnd, heat, parts, places)
}

// level is a place for a part in which one of its runs is straight: its port
// opposite to the other's, in the other's direction.
func (g *plan) level(rnd *rand.Rand, k int) (place, bool) {
	runs := g.parts[k].runs
	if len(runs) == 0 {
		return place{}, false
	}
	n := runs[rnd.IntN(len(runs))]
	r := &g.runs[n]
	mine, other, me := r.from, r.to, 0
	if mine != k {
		mine, other, me = other, mine, 1
	}
	if g.of[mine] == g.of[other] {
		return place{}, false
	}
	to := g.at[k]
	if g.parts[k].turns && len(g.blocks[g.of[k]]) == 1 && rnd.IntN(3) == 0 {
		to.turn = rnd.IntN(4)
	}
	outs, ends := r.ends[me][to.turn], r.ends[1-me][g.at[other].turn]
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

// shove moves a block together with those that hang on it alone.
func (g *plan) shove(rnd *rand.Rand, heat float64, b int) {
	group := []int{b}
	for _, k := range g.blocks[b] {
		for _, r := range g.parts[k].runs {
			o := g.runs[r].to
			if o == k {
				o = g.runs[r].from
			}
			if !g.parts[o].fixed && !slices.Contains(group, g.of[o]) && (len(g.parts[o].runs) <= 2 || rnd.IntN(3) == 0) {
				group = append(group, g.of[o])
			}
		}
	}
	k := g.blocks[b][0]
	to := g.at[k]
	to.at = to.at.Add(components.Point{X: (rnd.IntN(9) - 4) * 2 * components.Module, Y: (rnd.IntN(9) - 4) * 2 * components.Module})
	g.carry(rnd, heat, group, k, to)
}

// cut moves all blocks that begin beyond a line across the sheet, and tells whether
// that was kept.
func (g *plan) cut(rnd *rand.Rand, heat float64, free []int, upright bool, line components.Point, by int) bool {
	var beyond []int
	for _, b := range free {
		if at := g.begins(b); upright && at.X >= line.X || !upright && at.Y >= line.Y {
			beyond = append(beyond, b)
		}
	}
	if len(beyond) == 0 || len(beyond) == len(free) || by == 0 {
		return false
	}
	k := g.blocks[beyond[0]][0]
	to := g.at[k]
	if upright {
		to.at.X += by
	} else {
		to.at.Y += by
	}
	return g.carry(rnd, heat, beyond, k, to)
}

// begins is the upper left corner of a block.
func (g *plan) begins(b int) components.Point {
	low := components.Point{X: math.MaxInt, Y: math.MaxInt}
	for _, k := range g.blocks[b] {
		body, at := &g.parts[k].body[g.at[k].turn], g.at[k].at
		low = components.Point{X: min(low.X, at.X+body.Min.X), Y: min(low.Y, at.Y+body.Min.Y)}
	}
	return low
}

// close takes out the room that nothing needs: all beyond a line come nearer, as far
// as that costs nothing.
func (g *plan) close(rnd *rand.Rand, free []int) {
	for more := true; more; {
		more = false
		for _, b := range free {
			for _, upright := range []bool{true, false} {
				for by := 16 * components.Module; by >= 2*components.Module; by /= 2 {
					more = g.cut(rnd, 0, free, upright, g.begins(b), -by) || more
				}
			}
			k := g.blocks[b][0]
			for _, way := range []components.Point{{X: -1}, {X: 1}, {Y: -1}, {Y: 1}} {
				for by := 16 * components.Module; by >= components.Module; by /= 2 {
					to := g.at[k]
					to.at = along(to.at, way, by)
					more = g.carry(rnd, 0, []int{b}, k, to) || more
				}
			}
		}
	}
}
