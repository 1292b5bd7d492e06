package session

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"rigline/components"
	"rigline/export/scene"
)

// What a layout costs. A bend and a crossing are each one thing that the eye has
// to follow; a line through a symbol is worse than any detour.
const (
	costOfBend    = 1.0
	costOfCross   = 2.0
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
	air     [4]components.Box // the symbol with room for the words around it
	runs    []int
	region  region
	side    components.Point // where on the sheet it is looked for: -1 left or up, 1 right or down
}

type lrun struct {
	from, to int
	ends     [2][4][]outlet // of from and to, by turn
	bars     [2]*lbar       // that it ends at, nil for other ports
	feeds    bool           // power flows along it, from from to to
	words    float64        // how wide its words are
	studs    [2]int         // at the bars, as of its line
	line     line
}

// line is a run's line, with what it costs by itself.
type line struct {
	at    [6]components.Point
	n     int
	box   components.Box
	alone float64
}

func (l *line) corners() []components.Point { return l.at[:l.n] }

// lbar is a bar's port: the runs that end there share its studs among them, in the
// order of their far ends.
type lbar struct{ ends []barEnd }

type barEnd struct{ run, end int }

// plan is a layout that is being improved. It guesses every run's line, which
// takes a thousandth of the time that routing it takes.
type plan struct {
	parts  []lpart
	runs   []lrun
	at     []place
	blocks [][]int // the parts that move together; each is in one
	of     []int   // the block of each part
	mine   []bool  // by run, for a moment
	cost   float64
}

func newPlan(doc *components.Document, places map[components.ID]components.Point, fixed func(components.ID) bool) *plan {
	g := &plan{}
	index := map[components.ID]int{}
	for _, p := range doc.Parts() {
		at, ok := places[p.ID]
		if !ok {
			at = p.At
		}
		index[p.ID] = len(g.parts)
		g.parts = append(g.parts, newLpart(p, fixed(p.ID)))
		g.at = append(g.at, place{at, quarter(p.Turn)})
	}
	g.of = make([]int, len(g.parts))
	for k := range g.of {
		g.of[k] = -1
	}
	for _, b := range blocksOf(doc, fixed) {
		var all []int
		first := g.at[index[b[0].id]].at
		for _, m := range b {
			k := index[m.id]
			g.at[k] = place{first.Add(m.at), m.turn}
			g.of[k] = len(g.blocks)
			all = append(all, k)
		}
		g.blocks = append(g.blocks, all)
	}
	for k := range g.parts {
		if g.of[k] < 0 {
			g.of[k] = len(g.blocks)
			g.blocks = append(g.blocks, []int{k})
		}
	}
	bars := map[components.PortRef]*lbar{}
	for _, r := range doc.Runs() {
		from, to := index[r.From.Part], index[r.To.Part]
		k := len(g.runs)
		a, _ := doc.Part(r.From.Part)
		b, _ := doc.Part(r.To.Part)
		ac := slices.ContainsFunc(doc.CoresOf(r), func(c components.Core) bool { return c.From.Hot() })
		run := lrun{from: from, to: to, words: scene.RunLabelWidth(doc, r)}
		run.feeds = ac && regionOf(a) == acRegion && regionOf(b) == acRegion || b.Kind.Role == components.Distributes
		for end, ref := range [2]components.PortRef{r.From, r.To} {
			p := [2]components.Part{a, b}[end]
			shared := false
			run.ends[end], shared = outletsOf(doc, p, ref, r, &g.parts[[2]int{from, to}[end]])
			if shared && !groundOnly(doc, r) {
				if bars[ref] == nil {
					bars[ref] = &lbar{}
				}
				bars[ref].ends = append(bars[ref].ends, barEnd{k, end})
				run.bars[end] = bars[ref]
			}
		}
		g.runs = append(g.runs, run)
		g.parts[from].runs = append(g.parts[from].runs, k)
		if to != from {
			g.parts[to].runs = append(g.parts[to].runs, k)
		}
	}
	g.mine = make([]bool, len(g.runs))
	for k := range g.runs {
		g.guess(k)
	}
	g.cost = g.total()
	return g
}

func newLpart(p components.Part, fixed bool) lpart {
	l := lpart{id: p.ID, fixed: fixed, upright: quarter(p.Turn), region: regionOf(p)}
	l.turns = len(p.Ports()) == 2 && p.Kind.Role != components.Stores
	for turn := range 4 {
		q := p
		q.Turn = turn * 90
		b := bodyOf(q)
		l.body[turn] = b
		b.Min.X, b.Max.X, b.Min.Y, b.Max.Y = b.Min.X-roomX, b.Max.X+roomX, b.Min.Y-roomY, b.Max.Y+roomY
		if p.Kind.Role == components.Uses && turn == 0 { // its words read on from it
			w := scene.TextWidth(string(p.ID), scene.TagHeight, true)
			for _, t := range []string{p.Name, p.Kind.Rating(p.Spec)} {
				w = max(w, min(120, scene.TextWidth(t, scene.SmallHeight, false)))
			}
			b.Max.X = max(b.Max.X, b.Max.X-roomX+int(w)+12)
		}
		l.air[turn] = b
	}
	switch {
	case p.Kind.Role == components.Stores:
		l.side = components.Point{X: -1}
	case p.Kind.Role == components.Supplies && l.region == acRegion:
		l.side = components.Point{X: -1, Y: -1}
	case l.region == groundRegion:
		l.side = components.Point{X: 1}
	}
	return l
}

// outletsOf are the places where a run may end at a part, for each turn; they are
// shared where the port has studs for any run.
func outletsOf(doc *components.Document, p components.Part, ref components.PortRef, r components.Run, l *lpart) (all [4][]outlet, shared bool) {
	poles := polesOf(doc, r, ref)
	for turn := range 4 {
		q := p
		q.Turn = turn * 90
		for _, port := range q.Ports() {
			if port.Name != ref.Port {
				continue
			}
			for i, o := range outlets(port, l.body[turn]) {
				if len(port.Landings) > 0 && port.Landings[i].Pole != "" && !poles[port.Landings[i].Pole] {
					continue
				}
				all[turn] = append(all[turn], o)
			}
			shared = len(port.Landings) > 1 && port.Landings[0].Pole == ""
		}
		if all[turn] == nil {
			all[turn] = []outlet{{components.Point{}, []components.Point{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}}}}
		}
	}
	return all, shared
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
