package session

import (
	"cmp"
	"math"
	"slices"

	"rigline/components"
	"rigline/export/scene"
)

// drawnPlan is a plan as edits, with the score of what is then really drawn.
type drawnPlan struct {
	edits []components.Edit
	score float64
}

// squeeze takes out of a plan the strips across the whole sheet in which only lines
// lie. The plan's own guess of the lines sees a bend there that the drawing does not
// have; so the lines are routed without each strip, and it is left out where that is
// better.
func (g *plan) squeeze(doc *components.Document, fixed func(components.ID) bool) {
	if slices.ContainsFunc(g.parts, func(p lpart) bool { return p.fixed }) {
		return
	}
	best := g.routed(doc, fixed)
	for _, upright := range []bool{false, true} {
		for at, wide, ok := g.strip(upright, math.MinInt); ok; at, wide, ok = g.strip(upright, at) {
			was := slices.Clone(g.at)
			for by := wide; by >= 2*components.Module; by = onModule(by / 2) {
				g.closeUp(upright, at, by)
				if now := g.routed(doc, fixed); now < best {
					best = now
					break
				}
				copy(g.at, was)
			}
		}
	}
}

// drawn draws a plan.
func (g *plan) drawn(doc *components.Document, fixed func(components.ID) bool) drawnPlan {
	edits := g.edits(doc, fixed)
	laid, err := doc.Apply(edits...)
	if err != nil { // moves of parts that are there cannot fail
		return drawnPlan{score: math.Inf(1)}
	}
	return drawnPlan{edits, drawnFigures(laid).score()}
}

// routed is the score of a plan without its words, which take longer to place than
// the lines take to find.
func (g *plan) routed(doc *components.Document, fixed func(components.ID) bool) float64 {
	laid, err := doc.Apply(g.edits(doc, fixed)...)
	if err != nil {
		return math.Inf(1)
	}
	router := scene.NewRouter(laid)
	var all [][]scene.Pt
	for _, r := range laid.Runs() {
		if path := router.Path(r.ID); path != nil {
			all = append(all, path)
		}
	}
	return tally(all).score() + g.extent()
}

// strip is the next free strip that begins beyond a place: where what is beyond it
// begins, and how wide it is.
func (g *plan) strip(upright bool, from int) (at, wide int, ok bool) {
	type span struct{ from, to int }
	spans := make([]span, len(g.parts))
	for k := range g.parts {
		b, p := g.parts[k].air[g.at[k].turn], g.at[k].at
		spans[k] = span{p.Y + b.Min.Y, p.Y + b.Max.Y}
		if upright {
			spans[k] = span{p.X + b.Min.X, p.X + b.Max.X}
		}
	}
	slices.SortFunc(spans, func(a, b span) int { return cmp.Compare(a.from, b.from) })
	end := spans[0].to
	for _, s := range spans {
		if s.from > from && s.from-end >= 2*components.Module {
			return s.from, onModule(s.from - end), true
		}
		end = max(end, s.to)
	}
	return 0, 0, false
}

// closeUp brings everything that begins at a place or beyond nearer.
func (g *plan) closeUp(upright bool, at, by int) {
	for k := range g.parts {
		b, p := g.parts[k].air[g.at[k].turn], &g.at[k].at
		switch {
		case upright && p.X+b.Min.X >= at:
			p.X -= by
		case !upright && p.Y+b.Min.Y >= at:
			p.Y -= by
		}
	}
}
