package checks

import (
	"rigline/components"
	"rigline/rules"
)

// cable is a run with those that junctions join to it end to end: one way for its
// conductors, drawn in pieces.
type cable struct {
	Runs     []components.Run // in order
	From, To components.PortRef
}

// endsOf are the ends of the cable that a run is of.
func endsOf(p *rules.Pass, r components.Run) (from, to components.PortRef) {
	if !atJunction(p, r) { // as nearly all are
		return r.From, r.To
	}
	c := cableOf(p, r)
	return c.From, c.To
}

// atJunction tells whether a run ends at one.
func atJunction(p *rules.Pass, r components.Run) bool {
	a, _ := p.Doc.Part(r.From.Part)
	b, _ := p.Doc.Part(r.To.Part)
	return a.Kind == &components.Splice || b.Kind == &components.Splice
}

// cableOf follows a run over the junctions at which just one other run goes on.
func cableOf(p *rules.Pass, r components.Run) cable {
	c := cable{Runs: []components.Run{r}, From: r.From, To: r.To}
	for {
		next, far, ok := goesOn(p, c.Runs[len(c.Runs)-1], c.To)
		if !ok || c.has(next) {
			break
		}
		c.Runs, c.To = append(c.Runs, next), far
	}
	for {
		next, far, ok := goesOn(p, c.Runs[0], c.From)
		if !ok || c.has(next) {
			break
		}
		c.Runs, c.From = append([]components.Run{next}, c.Runs...), far
	}
	return c
}

// goesOn is the one other run at a junction, with its far end.
func goesOn(p *rules.Pass, r components.Run, end components.PortRef) (next components.Run, far components.PortRef, ok bool) {
	q, _ := p.Doc.Part(end.Part)
	if q.Kind != &components.Splice {
		return next, far, false
	}
	n := 0
	for _, o := range p.Doc.RunsOf(q.ID) {
		if o.ID != r.ID && !o.Gone() {
			next = o
			n++
		}
	}
	if n != 1 {
		return next, far, false
	}
	if next.From.Part == q.ID {
		return next, next.To, true
	}
	return next, next.From, true
}

func (c cable) has(r components.Run) bool {
	for _, o := range c.Runs {
		if o.ID == r.ID {
			return true
		}
	}
	return false
}

// first tells whether a run is the one that speaks for its cable: the first of those
// that fit.
func (c cable) first(r components.Run, fits func(components.Run) bool) bool {
	for _, o := range c.Runs {
		if fits(o) {
			return o.ID == r.ID
		}
	}
	return false
}

// bring gives every run of a cable a core of a pole, and every junction on its way the
// pole; ok is false where they cannot have it.
func (c cable) bring(p *rules.Pass, pole components.Pole) (edits []components.Edit, ok bool) {
	for i, r := range c.Runs {
		cores := p.Doc.CoresOf(r)
		if i > 0 {
			q, _ := p.Doc.Part(c.joint(i))
			if port, _ := q.Port("a"); !port.Has(pole) {
				return nil, false // its poles cannot change while cables are joined to it
			}
		}
		if hasCore(p.Doc, r, pole) {
			continue
		}
		edit := r.Rerouted()
		edit.Cores = append(append([]components.Core{}, cores...), components.Core{From: pole, To: pole})
		edits = append(edits, edit)
	}
	_, err := p.Doc.Apply(edits...)
	return edits, err == nil && len(edits) > 0
}

// cableFeet is the length of the cable that a run is of; ok is false where that of one of
// its pieces is not told.
func cableFeet(p *rules.Pass, r components.Run) (feet float64, ok bool) {
	if !atJunction(p, r) {
		f := r.Figure("length_ft")
		return f.Value, f.Known()
	}
	for _, piece := range cableOf(p, r).Runs {
		f := piece.Figure("length_ft")
		if !f.Known() {
			return 0, false
		}
		feet += f.Value
	}
	return feet, true
}

// shortCable tells whether it is not longer than 18 in, or its length not told.
func shortCable(p *rules.Pass, r components.Run) bool {
	feet, ok := cableFeet(p, r)
	return !ok || feet <= within18in
}

// joint is the junction between a run of the cable and the one before it.
func (c cable) joint(i int) components.ID {
	a, b := c.Runs[i-1], c.Runs[i]
	if a.From.Part == b.From.Part || a.From.Part == b.To.Part {
		return a.From.Part
	}
	return a.To.Part
}
