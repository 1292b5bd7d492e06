package scene

import (
	"cmp"
	"slices"

	"rigline/components"
)

// seat is a landing of a bar and the run end that has it, if any.
type seat struct {
	landing landing
	job     *job
	to      bool
}

// settle lets the runs at a bar change studs, with a neighbour or to an empty one,
// where that makes their lines cheaper.
func (g *grid) settle(doc *components.Document, lands map[runEnd]landing) {
	byRun := map[components.ID]*job{}
	for _, j := range g.jobs {
		byRun[j.run] = j
	}
	for _, p := range doc.Parts() {
		body := p.Kind.Symbol(p.Spec).Body
		for _, port := range p.Ports() {
			if len(port.Landings) < 2 || port.Landings[0].Pole != "" {
				continue
			}
			seats, ok := g.seats(doc, p, port, body, byRun)
			if !ok {
				continue
			}
			for i := range seats {
				for k := i + 1; k < min(i+3, len(seats)); k++ {
					g.change(&seats[i], &seats[k])
				}
			}
			for _, s := range seats {
				if s.job != nil {
					lands[runEnd{s.job.run, s.to}] = s.landing
				}
			}
		}
	}
}

// seats are the landings of a bar along it; ok is false where runs share one.
func (g *grid) seats(doc *components.Document, p components.Part, port components.Port, body components.Box, byRun map[components.ID]*job) (seats []seat, ok bool) {
	at := map[components.Point]int{}
	for _, l := range port.Landings {
		s := seat{landing: landingOn(p, port, body, l.At)}
		at[s.landing.at] = len(seats)
		seats = append(seats, s)
	}
	any := false
	for _, r := range doc.RunsAt(p.Ref(port.Name)) {
		j := byRun[r.ID]
		if j == nil || r.From == r.To {
			return nil, false
		}
		l, to := j.from, r.To == p.Ref(port.Name)
		if to {
			l = j.to
		}
		i, found := at[l.at]
		if !found || seats[i].job != nil {
			return nil, false
		}
		seats[i].job, seats[i].to = j, to
		any = true
	}
	slices.SortStableFunc(seats, func(a, b seat) int {
		return cmp.Or(cmp.Compare(a.landing.at.X, b.landing.at.X), cmp.Compare(a.landing.at.Y, b.landing.at.Y))
	})
	return seats, any
}

// change swaps the runs of two seats and keeps that if it is cheaper.
func (g *grid) change(a, b *seat) {
	if a.job == b.job || a.easy() && b.easy() {
		return
	}
	before, was := int32(0), [2]job{}
	for i, s := range [2]*seat{a, b} {
		if s.job != nil {
			before, was[i] = before+s.job.cost, *s.job
		}
	}
	a.job, b.job, a.to, b.to = b.job, a.job, b.to, a.to
	if g.lineUp(a, b, before) {
		return
	}
	a.job, b.job, a.to, b.to = b.job, a.job, b.to, a.to
	for i, s := range [2]*seat{a, b} {
		if s.job != nil {
			g.lift(s.job)
			*s.job = was[i]
		}
	}
	for _, s := range [2]*seat{a, b} {
		if s.job != nil {
			g.lay(s.job, 1, s.job.nodes)
		}
	}
}

// easy tells whether a seat is empty or its line has no bend to lose.
func (s *seat) easy() bool {
	return s.job == nil || s.job.cost < costBend+costStep*int32(s.job.steps())
}

// steps is the length of a job's line in modules.
func (j *job) steps() int { return len(j.nodes) - 1 }

// lineUp routes the runs of two seats, the nearer ends first, and tells whether
// they cost less than a limit.
func (g *grid) lineUp(a, b *seat, limit int32) bool {
	jobs := make([]*job, 0, 2)
	for _, s := range [2]*seat{a, b} {
		if s.job == nil {
			continue
		}
		g.lift(s.job)
		if s.to {
			s.job.to, s.job.b = s.landing, g.key(s.landing.key)
		} else {
			s.job.from, s.job.a = s.landing, g.key(s.landing.key)
		}
		s.job.nodes = nil
		jobs = append(jobs, s.job)
	}
	slices.SortStableFunc(jobs, func(x, y *job) int { return cmp.Or(cmp.Compare(x.span(), y.span()), cmp.Compare(x.num, y.num)) })
	for _, j := range jobs {
		if !g.routeBelow(j, limit) {
			return false
		}
		limit -= j.cost
	}
	return true
}
