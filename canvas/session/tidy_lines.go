package session

import (
	"cmp"
	"math"
	"slices"

	"rigline/components"
)

// landing is where a run ends at one of its parts: at a bar at the stud that its far
// end's place among those of the other runs gives it, else at the nearest.
func (g *plan) landing(k, end int, far components.Point) outlet {
	r := &g.runs[k]
	p := g.at[[2]int{r.from, r.to}[end]]
	all := r.ends[end][p.turn]
	best := 0
	if bar := r.bars[end]; bar != nil && len(bar.ends) <= len(all) {
		best = g.stud(bar, k, end)
		r.studs[end] = best
	} else {
		least := math.MaxInt
		for i, o := range all {
			if d := span(o.at.Add(p.at), far); d < least {
				best, least = i, d
			}
		}
	}
	o := all[best]
	o.at = o.at.Add(p.at)
	return o
}

// stud is the index of the landing that a run gets at a bar.
func (g *plan) stud(bar *lbar, k, end int) int {
	at0 := g.at[[2]int{g.runs[k].from, g.runs[k].to}[end]]
	all := g.runs[k].ends[end][at0.turn]
	n, m := len(bar.ends), len(all)
	if n > m {
		return 0
	}
	upright := all[0].at.X == all[m-1].at.X
	along := func(p components.Point) int {
		if upright {
			return p.Y
		}
		return p.X
	}
	at := along(at0.at)
	want := func(e barEnd) int {
		o := &g.runs[e.run]
		f := [2]int{o.to, o.from}[e.end]
		return along(g.at[f].at.Add(o.ends[1-e.end][g.at[f].turn][0].at)) - at
	}
	type wish struct{ at, run, end int }
	var few [16]wish
	wishes := few[:0]
	for _, e := range bar.ends {
		wishes = append(wishes, wish{want(e), e.run, e.end})
	}
	slices.SortFunc(wishes, func(a, b wish) int {
		return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.run, b.run), cmp.Compare(a.end, b.end))
	})
	rising := along(all[m-1].at) > along(all[0].at)
	last := -1
	for i, w := range wishes {
		best, least := i, math.MaxInt
		for j := max(last+1, i); j <= m-n+i; j++ {
			at := j
			if !rising {
				at = m - 1 - j
			}
			if d := along(all[at].at) - w.at; max(d, -d) < least {
				best, least = j, max(d, -d)
			}
		}
		last = best
		if w.run == k && w.end == end {
			if !rising {
				return m - 1 - best
			}
			return best
		}
	}
	return 0
}

func span(a, b components.Point) int { return max(a.X-b.X, b.X-a.X) + max(a.Y-b.Y, b.Y-a.Y) }

// guess finds a run's line: the best of a few with right angles.
func (g *plan) guess(k int) {
	r := &g.runs[k]
	a := g.landing(k, 0, g.at[r.to].at)
	b := g.landing(k, 1, a.at)
	best := line{alone: math.Inf(1)}
	var l line
	for _, wa := range a.ways {
		for _, wb := range b.ways {
			p, q := along(a.at, wa, leadIn), along(b.at, wb, leadIn)
			mx, my := onModule((p.X+q.X)/2), onModule((p.Y+q.Y)/2)
			for _, mid := range [...][2]components.Point{
				{{X: q.X, Y: p.Y}, {X: q.X, Y: p.Y}}, {{X: p.X, Y: q.Y}, {X: p.X, Y: q.Y}},
				{{X: mx, Y: p.Y}, {X: mx, Y: q.Y}}, {{X: p.X, Y: my}, {X: q.X, Y: my}},
			} {
				l.n = 0
				if l.to(a.at) && l.to(p) && l.to(mid[0]) && l.to(mid[1]) && l.to(q) && l.to(b.at) {
					if l.alone = g.lineCost(&l, r, best.alone); l.alone < best.alone {
						best = l
					}
				}
			}
		}
	}
	if best.n == 0 { // every simple line turns back on itself
		p, q := g.at[r.from].at, g.at[r.to].at
		best.at, best.n = [6]components.Point{p, {X: q.X, Y: p.Y}, q}, 3
		best.alone = g.lineCost(&best, r, math.Inf(1)) + 4*costOfBend
	}
	if r.feeds && g.at[r.to].at.X < g.at[r.from].at.X {
		best.alone += costOfBack + costPerUnit*float64(g.at[r.from].at.X-g.at[r.to].at.X)
	}
	best.box = components.Box{Min: best.at[0], Max: best.at[0]}
	for _, p := range best.corners() {
		best.box.Min = components.Point{X: min(best.box.Min.X, p.X), Y: min(best.box.Min.Y, p.Y)}
		best.box.Max = components.Point{X: max(best.box.Max.X, p.X), Y: max(best.box.Max.Y, p.Y)}
	}
	r.line = best
}

// to draws a line on to a place, leaving out where it goes straight on; it tells
// whether it does not turn back.
func (l *line) to(p components.Point) bool {
	if l.n > 0 && l.at[l.n-1] == p {
		return true
	}
	if l.n > 1 {
		a, b := l.at[l.n-2], l.at[l.n-1]
		if a.X == b.X && b.X == p.X || a.Y == b.Y && b.Y == p.Y {
			l.at[l.n-1] = p
			return (b.X-a.X)*(p.X-b.X)+(b.Y-a.Y)*(p.Y-b.Y) >= 0
		}
	}
	l.at[l.n] = p
	l.n++
	return true
}

func along(p, way components.Point, by int) components.Point {
	return components.Point{X: p.X + way.X*by, Y: p.Y + way.Y*by}
}

func onModule(v int) int { return v / components.Module * components.Module }
