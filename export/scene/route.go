package scene

import (
	"cmp"
	"slices"
	"sync"

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
	costText    = 10   // where a part's tag and name will stand
	costShared  = 12   // along a line of the same landing, on top of the step
	costForced  = 3000 // through a symbol or another line's end, where there is no other way
	costPlaced  = 8    // ahead of a bend point, so that the line does not wander
	routeMargin = 12   // modules around the drawing in which lines may run
	improveMax  = 150  // runs up to which a second round of routing is worth its time
	inHaste     = 8    // how much the way ahead counts for a line whose search has run out of patience
	// patience, over the square of the runs, is how many states the search for a line
	// looks at before it is in haste: 80,000 at sixty runs, more than an ordinary
	// drawing ever asks for, but not so many that thousands of runs take minutes.
	patience      = 300_000_000
	leastPatience = 100
)

// Router holds the routed lines of a document, so that tools can ask where one
// more line would run without routing them all again. It is for one goroutine.
type Router struct {
	doc   *components.Document
	grid  *grid
	lands map[runEnd]landing
}

// NewRouter routes a document.
func NewRouter(doc *components.Document) *Router {
	d := drawing{doc: doc, first: map[components.ID]label{}}
	g, lands := layAll(doc, d.reserve)
	return &Router{doc, g, lands}
}

// Path is the line of one of the document's runs; nil where there is none.
func (r *Router) Path(run components.ID) []Pt {
	for _, j := range r.grid.jobs {
		if j.run == run {
			return r.grid.corners(j.nodes)
		}
	}
	return nil
}

// Route gives the line that a run would take beside the others. A run of the
// document is routed as it stands in run, its own old line being no obstacle.
func (r *Router) Route(run components.Run) []Pt {
	from, ok1 := r.end(run.From)
	to, ok2 := r.end(run.To)
	if old, ok := r.doc.Run(run.ID); ok { // an end that stays keeps its landing
		if l, ok := r.lands[runEnd{run.ID, false}]; ok && old.From == run.From {
			from = l
		}
		if l, ok := r.lands[runEnd{run.ID, true}]; ok && old.To == run.To {
			to = l
		}
	}
	if !ok1 || !ok2 {
		return nil
	}
	return r.try(run.ID, from, to, run.Path)
}

// RouteTo gives the line from a port to a place, while a run is being drawn.
func (r *Router) RouteTo(from components.PortRef, to Pt) []Pt {
	start, ok := r.end(from)
	if !ok {
		return nil
	}
	at := components.Point{X: int(floor(to.X/components.Module+0.5)) * components.Module, Y: int(floor(to.Y/components.Module+0.5)) * components.Module}
	return r.try("", start, landing{at: at, outs: []int{east, south, west, north}, key: landingKey{at: at}}, nil)
}

// end is where a new line would land at a port: at its first free landing.
func (r *Router) end(ref components.PortRef) (landing, bool) {
	p, port, ok := r.doc.Port(ref)
	if !ok {
		return landing{}, false
	}
	taken := map[components.Point]bool{}
	for _, l := range r.lands {
		taken[l.at] = true
	}
	at := port.At
	for _, l := range port.Landings {
		if !taken[l.At.Add(p.At)] {
			at = l.At
			break
		}
	}
	return landingOn(p, port, p.Kind.Symbol(p.Spec).Body, at), true
}

// try routes a line and takes it off again.
func (r *Router) try(run components.ID, from, to landing, via []components.Point) []Pt {
	g := r.grid
	for _, j := range g.jobs {
		if j.run == run {
			g.lift(j)
			defer g.lay(j, 1, j.nodes)
		}
	}
	j := &job{run: run, num: int32(len(g.jobs) + 1), from: from, to: to, via: via, a: g.key(from.key), b: g.key(to.key)}
	g.route(j)
	g.lift(j)
	return g.corners(j.nodes)
}

// routes are the lines of all runs.
type routes struct {
	lands map[runEnd]landing
	paths map[components.ID][]Pt
	tails map[components.ID][][]Pt // short pieces to further leads of the same port
	hops  map[components.ID][]Pt   // where a run's line jumps another
	dots  []dot                    // where lines of one landing part
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
	cost     int32
}

// routeAll routes every run: those with bend points first, then the nearest ends
// first; small drawings get a second round, in which each looks again with all the
// others in place. Soft gives the areas where text will stand; it may be nil.
func routeAll(doc *components.Document, soft func() []Box) *routes {
	g, lands := layAll(doc, soft)
	r := g.result()
	r.lands = lands
	return r
}

// layAll lays every run's line on a grid.
func layAll(doc *components.Document, soft func() []Box) (*grid, map[runEnd]landing) {
	var text []Box
	var wait sync.WaitGroup
	if soft != nil {
		wait.Go(func() { text = soft() })
	}
	lands := landings(doc)
	g := newGrid(doc, lands)
	wait.Wait()
	for _, b := range text {
		g.fill(b, func(q *square) { q.text = true })
	}
	var jobs []*job
	for _, r := range doc.Runs() {
		from, ok1 := lands[runEnd{r.ID, false}]
		to, ok2 := lands[runEnd{r.ID, true}]
		if ok1 && ok2 {
			jobs = append(jobs, &job{run: r.ID, num: int32(len(jobs) + 1), from: from, to: to, via: r.Path})
		}
	}
	g.find.patience = max(leastPatience, patience/max(1, len(jobs)*len(jobs)))
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
	if len(jobs) <= improveMax {
		g.settle(doc, lands)
	}
	return g, lands
}

// span is how far apart the ends are; ends in line count as nearer.
func (j *job) span() int {
	dx, dy := abs(j.from.at.X-j.to.at.X), abs(j.from.at.Y-j.to.at.Y)
	return dx + dy + min(dx, dy)
}

func abs(v int) int { return max(v, -v) }
