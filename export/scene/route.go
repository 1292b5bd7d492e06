package scene

import (
	"cmp"
	"slices"

	"rigline/components"
)

// What a line costs, in tenths of a module: a bend counts as much as five modules,
// a crossing as four, so that straight lines come first, then few bends, then few
// crossings, then short ones.
const (
	costStep    = 10
	costBend    = 50
	costCross   = 40
	costBeside  = 6    // a module away from another line, along it
	costNear    = 5    // at the edge of a symbol
	costText    = 30   // where a part's tag and name will stand
	costShared  = 12   // along a line of the same landing, on top of the step
	costForced  = 3000 // through a symbol or another line's end, where there is no other way
	costPlaced  = 8    // ahead of a bend point, so that the line does not wander
	routeMargin = 12   // modules around the drawing in which lines may run
	improveMax  = 150  // runs up to which a second round of routing is worth its time
)

// Route gives the line of one run as it would be drawn in the document beside the
// others, the run itself being in the document or not. It is what a tool shows
// while a run is drawn.
func Route(doc *components.Document, run components.Run) []Pt {
	with := doc
	if _, ok := doc.Run(run.ID); !ok {
		next, err := doc.Apply(components.AddRun{Run: run})
		if err != nil {
			return nil
		}
		with = next
	}
	return routeAll(with, nil).paths[run.ID]
}

// routes are the lines of all runs.
type routes struct {
	lands  map[runEnd]landing
	paths  map[components.ID][]Pt
	tails  map[components.ID][][]Pt // short pieces to further leads of the same port
	hops   map[components.ID][]Pt   // where a run's line jumps another
	dots   []dot                    // where lines of one landing part
	misfit map[components.ID]bool   // drawn through something for want of a way
}

type dot struct {
	at  Pt
	run components.ID
}

// job is one run to be routed.
type job struct {
	run      components.ID
	num      int32
	from, to landing
	a, b     int32 // numbers of the landings
	via      []components.Point
	nodes    []node   // grid nodes of its line
	tails    [][]node // and of short pieces to further leads of the same port
	forced   bool
}

// routeAll routes every run: those with bend points first, then the nearest ends
// first; small drawings get a second round, in which each looks again with all the
// others in place. Soft areas are those where text will stand.
func routeAll(doc *components.Document, soft []Box) *routes {
	lands := landings(doc)
	g := newGrid(doc, lands, soft)
	var jobs []*job
	for _, r := range doc.Runs() {
		from, ok1 := lands[runEnd{r.ID, false}]
		to, ok2 := lands[runEnd{r.ID, true}]
		if ok1 && ok2 {
			jobs = append(jobs, &job{run: r.ID, num: int32(len(jobs) + 1), from: from, to: to, via: r.Path})
		}
	}
	order := slices.Clone(jobs)
	slices.SortStableFunc(order, func(a, b *job) int {
		return cmp.Or(cmp.Compare(len(b.via), len(a.via)), cmp.Compare(a.span(), b.span()))
	})
	g.jobs = jobs
	for _, j := range jobs {
		j.a, j.b = g.key(j.from.key), g.key(j.to.key)
		j.tails = append(g.tailsOf(j.from), g.tailsOf(j.to)...)
		g.lay(j, 1, j.tails...)
	}
	for _, j := range order {
		g.route(j)
	}
	if len(jobs) <= improveMax {
		for _, j := range order {
			g.lift(j)
			g.route(j)
		}
	}
	r := g.result()
	r.lands = lands
	return r
}

// span is how far apart the ends are; ends in line count as nearer.
func (j *job) span() int {
	dx, dy := abs(j.from.at.X-j.to.at.X), abs(j.from.at.Y-j.to.at.Y)
	return dx + dy + min(dx, dy)
}

func abs(v int) int { return max(v, -v) }
