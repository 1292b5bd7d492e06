package session

import (
	"cmp"
	"maps"
	"math"
	"slices"
	"sync"

	"rigline/components"
	"rigline/export/scene"
)

// Tidy lays the whole sheet out from source to load, as one step: AC above, the
// devices between AC and DC where the AC side puts them, DC below with the bank on
// the left, charge sources along the bottom, the frame at the lower right. Pinned
// parts stay where they are, and what ends at them comes to them. Bend points that
// a person placed go.
func (s *Session) Tidy() { s.tidy("Tidy the sheet", s.Pinned) }

// TidySelected lays the selected parts out among the others, which stay.
func (s *Session) TidySelected() {
	keep := map[components.ID]bool{}
	for _, p := range s.SelectedParts() {
		keep[p.ID] = true
	}
	if len(keep) < 2 {
		s.Tell(Plain, "Select two parts or more to tidy them among the others")
		return
	}
	s.tidy("Tidy "+count(len(keep), "part"), func(id components.ID) bool { return !keep[id] || s.Pinned(id) })
}

// tidy works the places out behind the session; an edit meanwhile ends it.
func (s *Session) tidy(label string, pinned func(components.ID) bool) {
	doc := s.Doc()
	fixed := map[components.ID]bool{}
	for _, p := range doc.Parts() {
		if pinned(p.ID) {
			fixed[p.ID] = true
		}
	}
	places := tidied(doc)
	if len(fixed) > 0 { // begin with how the parts lie now, so that all stay near what is pinned
		places = map[components.ID]components.Point{}
	}
	s.Tell(Plain, "Tidying …")
	whole := len(fixed) == 0
	go func() {
		edits := layout(doc, places, func(id components.ID) bool { return fixed[id] })
		s.post(func() {
			if whole && s.Doc() == doc {
				s.paper = scene.Box{} // laid around the new places, and not where the old ones were
			}
			switch {
			case s.Doc() != doc:
				s.Tell(Plain, "The rig has changed meanwhile: tidy it again")
			case len(edits) == 0:
				s.Tell(Plain, "The sheet is as tidy as this gets")
			case s.Do(label, edits...) == nil:
				s.Tell(Plain, "%s: done. Undo brings the old places back", label)
				s.FitDrawn()
			}
		})
	}()
}

// Pinned tells whether a part stays where it is when the sheet is tidied.
func (s *Session) Pinned(id components.ID) bool {
	p, ok := s.Doc().Part(id)
	return ok && p.Pinned
}

// PinnedBodies are the areas of the pinned parts.
func (s *Session) PinnedBodies() map[components.ID]scene.Box {
	all := map[components.ID]scene.Box{}
	for _, p := range s.Doc().Parts() {
		if !p.Pinned {
			continue
		}
		if b, ok := s.Sheet().Bodies[p.ID]; ok {
			all[p.ID] = b
		}
	}
	return all
}

// Pin pins the selected parts where they are, or lets them go where all are pinned.
func (s *Session) Pin() {
	parts := s.SelectedParts()
	all := !slices.ContainsFunc(parts, func(p components.Part) bool { return !p.Pinned })
	var edits []components.Edit
	for _, p := range parts {
		if p.Pinned == all {
			edits = append(edits, components.PinPart{ID: p.ID, Pinned: !all})
		}
	}
	verb, word := "Pin ", "pinned: tidying leaves them where they are"
	if all {
		verb, word = "Let go ", "free again"
	}
	if s.Do(verb+namesOf(parts), edits...) == nil && len(edits) > 0 {
		s.Tell(Plain, "%s %s", namesOf(parts), word)
	}
}

// tidyEdits are the moves and turns that lay a document out.
func tidyEdits(doc *components.Document) []components.Edit {
	return layout(doc, tidied(doc), func(components.ID) bool { return false })
}

// most bounds the parts of a rig whose layout is improved move by move; a larger
// one keeps its columns.
const mostImproved = 200

// layout improves the places of the parts that are not fixed, and moves everything
// clear of the sheet's upper left corner where nothing is fixed.
func layout(doc *components.Document, places map[components.ID]components.Point, fixed func(components.ID) bool) []components.Edit {
	n := len(doc.Parts())
	if n == 0 || n > mostImproved {
		return newPlan(doc, places, fixed).edits(doc, fixed)
	}
	plans := make([]*plan, starts)
	each(len(plans), func(i int) {
		plans[i] = newPlan(doc, places, fixed)
		plans[i].improve(triesEach*len(plans[i].blocks), uint64(i+1))
	})
	slices.SortStableFunc(plans, func(a, b *plan) int { return cmp.Compare(a.total(), b.total()) })
	best := make([]drawnPlan, drawnBest)
	each(len(best), func(i int) {
		plans[i].squeeze(doc, fixed)
		best[i] = plans[i].drawn(doc, fixed)
	})
	return slices.MinFunc(best, func(a, b drawnPlan) int { return cmp.Compare(a.score, b.score) }).edits
}

// each does something for each of n numbers, side by side.
func each(n int, do func(i int)) {
	var all sync.WaitGroup
	for i := range n {
		all.Go(func() { do(i) })
	}
	all.Wait()
}

// triesEach is how many moves are tried for each block.
const triesEach = 500

// starts is how many layouts are tried from the same places. The plan only guesses
// how the lines will run; the best few are drawn, and the one is kept that is drawn
// best.
const (
	starts    = 6
	drawnBest = 3
)

// edits are the moves that bring a document to a plan.
func (g *plan) edits(doc *components.Document, fixed func(components.ID) bool) []components.Edit {
	var edits []components.Edit
	by := components.Point{}
	if !slices.ContainsFunc(g.parts, func(p lpart) bool { return p.fixed }) && len(g.parts) > 0 {
		const left, top = 140, 120
		low := components.Point{X: math.MaxInt, Y: math.MaxInt}
		for k := range g.parts {
			b := g.parts[k].body[g.at[k].turn]
			low.X, low.Y = min(low.X, g.at[k].at.X+b.Min.X), min(low.Y, g.at[k].at.Y+b.Min.Y)
		}
		by = components.Point{X: onModule(left - low.X), Y: onModule(top - low.Y)}
	}
	for k, p := range doc.Parts() {
		if g.parts[k].fixed {
			continue
		}
		to := components.MovePart{ID: p.ID, At: g.at[k].at.Add(by), Turn: p.Turn}
		if g.at[k].turn != g.parts[k].upright {
			to.Turn = g.at[k].turn * 90
		}
		if to.At != p.At || to.Turn != p.Turn {
			edits = append(edits, to)
		}
	}
	for _, r := range doc.Runs() {
		if len(r.Path) > 0 && !(fixed(r.From.Part) && fixed(r.To.Part)) {
			e := r.Rerouted()
			e.Path = nil
			edits = append(edits, e)
		}
	}
	return edits
}

// region is the band of the sheet that a part belongs to.
type region int

const (
	acRegion region = iota
	dcRegion
	chargeRegion
	groundRegion
)

func regionOf(p components.Part) region {
	switch p.Kind.Group {
	case components.Bonding:
		return groundRegion
	case components.ChargeSources:
		return chargeRegion
	}
	ac := false
	for _, port := range p.Ports() {
		for _, pole := range port.Poles {
			ac = ac || pole.Hot() || pole == components.N
		}
	}
	if ac {
		return acRegion
	}
	return dcRegion
}

// tie is a run seen from one of its parts: the part at the other end, and how much
// lower than this part it has to lie for the run to be straight.
type tie struct {
	to    components.ID
	lower int
	feeds bool // it carries a hot or positive conductor
}

// tidied works the places out. Within a region a part's column is its distance, in
// runs, from what the region begins with; within a column parts lie level with
// those that they are joined to.
func tidied(doc *components.Document) map[components.ID]components.Point {
	near := map[components.ID][]tie{}
	for _, r := range doc.Runs() {
		if groundOnly(doc, r) {
			continue
		}
		_, a, _ := doc.Port(r.From)
		_, b, _ := doc.Port(r.To)
		feeds := !doc.OnlyReturns(r)
		near[r.From.Part] = append(near[r.From.Part], tie{r.To.Part, b.At.Y - a.At.Y, feeds})
		near[r.To.Part] = append(near[r.To.Part], tie{r.From.Part, a.At.Y - b.At.Y, feeds})
	}
	byRegion := map[region][]components.Part{}
	in := map[components.ID]region{}
	for _, p := range doc.Parts() {
		g := regionOf(p)
		in[p.ID] = g
		byRegion[g] = append(byRegion[g], p)
	}
	places := map[components.ID]components.Point{}
	y := 120
	for _, g := range []region{acRegion, dcRegion, chargeRegion, groundRegion} {
		if len(byRegion[g]) == 0 {
			continue
		}
		columns := columnsOf(byRegion[g], near, in)
		y = layOut(columns, near, places, y, g == groundRegion) + 60
	}
	return places
}

func groundOnly(doc *components.Document, r components.Run) bool {
	return !slices.ContainsFunc(doc.CoresOf(r), func(c components.Core) bool { return c.From != components.G || c.To != components.G })
}

// columnsOf sorts a region's parts by their distance from its beginnings.
func columnsOf(parts []components.Part, near map[components.ID][]tie, in map[components.ID]region) [][]components.Part {
	rank := map[components.ID]int{}
	// spread gives the neighbours of what has a rank the next one, nearest first.
	spread := func(all bool) {
		for level, more := 0, true; more || level <= len(rank); level++ {
			more = false
			for _, p := range parts {
				if r, done := rank[p.ID]; !done || r != level {
					continue
				}
				for _, o := range near[p.ID] {
					if _, done := rank[o.to]; !done && in[o.to] == in[p.ID] && (all || o.feeds) {
						rank[o.to] = level + 1
						more = true
					}
				}
			}
		}
	}
	begin := func(is func(components.Part) bool, all bool) {
		for _, p := range parts {
			if _, done := rank[p.ID]; !done && is(p) {
				rank[p.ID] = 0
			}
		}
		spread(all)
	}
	// What feeds comes first, along hot and positive conductors; the returns then
	// join what is placed.
	begin(func(p components.Part) bool {
		return p.Kind.Role == components.Supplies || p.Kind.Role == components.Stores
	}, false)
	spread(true)
	begin(func(p components.Part) bool { return p.Kind.Role == components.Converts }, true)
	begin(func(p components.Part) bool { return p.Kind.Role == components.Carries }, true)
	begin(func(components.Part) bool { return true }, true)
	most := slices.Max(slices.Collect(maps.Values(rank)))
	columns := make([][]components.Part, most+1)
	for _, p := range parts {
		columns[rank[p.ID]] = append(columns[rank[p.ID]], p)
	}
	return columns
}

// layOut places a region's columns below a line and gives the lowest place used.
func layOut(columns [][]components.Part, near map[components.ID][]tie, places map[components.ID]components.Point, top int, right bool) int {
	const gapX, gapY, left = 110, 70, 140
	low := top
	x := left
	if right {
		for _, at := range places {
			x = max(x, at.X)
		}
	}
	for _, column := range columns {
		if len(column) == 0 {
			continue
		}
		level := map[components.ID]float64{}
		for i, p := range column {
			level[p.ID] = levelOf(near[p.ID], places, float64(top+i*gapY))
		}
		slices.SortStableFunc(column, func(a, b components.Part) int {
			return cmp.Or(cmp.Compare(level[a.ID], level[b.ID]), components.CompareIDs(a.ID, b.ID))
		})
		wide := 0
		for _, p := range column {
			b := bodyOf(p)
			wide = max(wide, b.Max.X-b.Min.X)
		}
		y := top
		for _, p := range column {
			b := bodyOf(p)
			up, down := -b.Min.Y, b.Max.Y
			at := onGrid(scene.Pt{X: float64(x + wide/2), Y: max(float64(y+up), level[p.ID])})
			if at.Y < y+up {
				at.Y += components.Module
			}
			places[p.ID] = at
			y = at.Y + down + gapY
			low = max(low, y)
		}
		x += wide + gapX
	}
	return low
}

// levelOf is where a part has to lie for most of its runs to placed parts to be
// straight: the middle one of the places they ask for, or a fallback.
func levelOf(near []tie, places map[components.ID]components.Point, other float64) float64 {
	var asked []int
	for _, t := range near {
		if at, ok := places[t.to]; ok {
			asked = append(asked, at.Y+t.lower)
		}
	}
	if len(asked) == 0 {
		return other
	}
	slices.Sort(asked)
	return float64(asked[(len(asked)-1)/2])
}

// bodyOf is a part's symbol, turned, about its centre.
func bodyOf(p components.Part) components.Box {
	b := p.Kind.Symbol(p.Spec).Body
	q, r := b.Min.Turned(p.Turn), b.Max.Turned(p.Turn)
	return components.Box{Min: components.Point{X: min(q.X, r.X), Y: min(q.Y, r.Y)}, Max: components.Point{X: max(q.X, r.X), Y: max(q.Y, r.Y)}}
}
