package session

import (
	"slices"

	"rigline/components"
	"rigline/export/scene"
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
