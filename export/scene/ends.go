package scene

import (
	"cmp"
	"math"
	"slices"

	"rigline/components"
)

// landing is the place where one end of a run is drawn.
type landing struct {
	at    components.Point
	outs  []int // directions in which a line may leave
	key   landingKey
	extra []components.Point // further landings of the same port that the run serves too
	lead  bool               // the symbol has no lead here: one is drawn with the part
}

// landingKey tells landings apart. Runs of one landing meet there.
type landingKey struct {
	ref components.PortRef
	at  components.Point
}

// Directions on the grid.
const (
	east = iota
	south
	west
	north
)

var steps = [4]components.Point{{X: 1}, {Y: 1}, {X: -1}, {Y: -1}}

func outward(s components.Side) int {
	switch s {
	case components.Right:
		return east
	case components.Bottom:
		return south
	case components.Left:
		return west
	}
	return north
}

// runEnd is one end of one run.
type runEnd struct {
	run components.ID
	to  bool
}

// landings gives each run end its place: the landing kept for its pole, else one
// of the free ones, in the order in which the far ends lie, so that lines do not
// cross at the port.
func landings(doc *components.Document) map[runEnd]landing {
	all := map[runEnd]landing{}
	for _, p := range doc.Parts() {
		body := p.Kind.Symbol(p.Spec).Body
		for _, port := range p.Ports() {
			ref := p.Ref(port.Name)
			runs := doc.RunsAt(ref)
			if len(runs) == 0 {
				continue
			}
			var ends []runEnd
			for _, r := range runs {
				if r.From == ref {
					ends = append(ends, runEnd{r.ID, false})
				}
				if r.To == ref {
					ends = append(ends, runEnd{r.ID, true})
				}
			}
			landPort(doc, p, port, body, ends, all)
		}
	}
	return all
}

func landPort(doc *components.Document, p components.Part, port components.Port, body components.Box, ends []runEnd, all map[runEnd]landing) {
	place := func(e runEnd, l components.Point, extra ...components.Point) {
		ld := landingOn(p, port, body, l)
		for _, x := range extra {
			ld.extra = append(ld.extra, x.Add(p.At))
		}
		all[e] = ld
	}
	if port.Landings == nil {
		for i, group := range byPole(doc, ends) {
			for _, e := range group {
				place(e, beside(port, i))
			}
		}
		return
	}
	var free []components.Point
	kept := map[components.Pole]components.Point{}
	for _, l := range port.Landings {
		if l.Pole == "" {
			free = append(free, l.At)
		} else {
			kept[l.Pole] = l.At
		}
	}
	var rest []runEnd
	for _, e := range ends {
		var own []components.Point
		for _, pole := range polesAt(doc, e) {
			if at, ok := kept[pole]; ok {
				own = append(own, at)
			}
		}
		switch {
		case len(own) > 0:
			place(e, own[0], own[1:]...)
		case len(free) > 0:
			rest = append(rest, e)
		default:
			place(e, port.At)
		}
	}
	spread(doc, p, free, rest, place)
}

// landingOn makes a landing at a place of a port.
func landingOn(p components.Part, port components.Port, body components.Box, l components.Point) landing {
	at := l.Add(p.At)
	ld := landing{at: at, outs: []int{outward(port.Side)}, key: landingKey{p.Ref(port.Name), at}, lead: true}
	if l == port.At {
		ld.lead = false
	}
	for _, o := range port.Landings {
		if o.At == l {
			ld.lead = false
		}
	}
	if inside(l, body, p.Turn) { // the stud of a bar: lines may leave on both sides
		ld.outs = append(ld.outs, (ld.outs[0]+2)%4)
	}
	ld.outs = append(ld.outs, pastEnd(port, l)...)
	return ld
}

// byPole groups run ends that have a pole in common. Lines of different groups must
// not be drawn as joined.
func byPole(doc *components.Document, ends []runEnd) [][]runEnd {
	var groups [][]runEnd
	var poles []map[components.Pole]bool
	for _, e := range ends {
		group, have := []runEnd{e}, map[components.Pole]bool{}
		for _, p := range polesAt(doc, e) {
			have[p] = true
		}
		var restGroups [][]runEnd
		var restPoles []map[components.Pole]bool
		for i, g := range groups {
			meets := false
			for p := range poles[i] {
				meets = meets || have[p]
			}
			if !meets {
				restGroups, restPoles = append(restGroups, g), append(restPoles, poles[i])
				continue
			}
			group = append(slices.Clone(g), group...)
			for p := range poles[i] {
				have[p] = true
			}
		}
		groups, poles = append(restGroups, group), append(restPoles, have)
	}
	slices.SortStableFunc(groups, func(a, b []runEnd) int {
		return cmp.Compare(firstPole(doc, a), firstPole(doc, b))
	})
	return groups
}

// firstPole is the rank of the foremost pole that a group has.
func firstPole(doc *components.Document, group []runEnd) int {
	first := len(components.Poles)
	for _, e := range group {
		for _, p := range polesAt(doc, e) {
			first = min(first, slices.Index(components.Poles, p))
		}
	}
	return first
}

// beside is the place of the n-th group at a port with one lead: the lead, then a
// module to one side of it, to the other, and so on.
func beside(port components.Port, n int) components.Point {
	off := components.Module * ((n + 1) / 2)
	if n%2 == 0 {
		off = -off
	}
	if port.Side == components.Left || port.Side == components.Right {
		return port.At.Add(components.Point{Y: off})
	}
	return port.At.Add(components.Point{X: off})
}

// pastEnd is the direction along a row of free landings in which a line may leave
// from the first or the last of them, past the end of the bar.
func pastEnd(port components.Port, l components.Point) []int {
	if len(port.Landings) < 2 || port.Landings[0].Pole != "" {
		return nil
	}
	lo, hi := port.Landings[0].At, port.Landings[0].At
	for _, o := range port.Landings {
		lo = components.Point{X: min(lo.X, o.At.X), Y: min(lo.Y, o.At.Y)}
		hi = components.Point{X: max(hi.X, o.At.X), Y: max(hi.Y, o.At.Y)}
	}
	low, high := west, east
	if lo.X == hi.X {
		low, high = north, south
	}
	switch l {
	case lo:
		return []int{low}
	case hi:
		return []int{high}
	}
	return nil
}

// polesAt are the poles that a run has at one of its ends.
func polesAt(doc *components.Document, e runEnd) []components.Pole {
	r, ok := doc.Run(e.run)
	if !ok {
		return nil
	}
	var poles []components.Pole
	for _, c := range doc.CoresOf(r) {
		if e.to {
			poles = append(poles, c.To)
		} else {
			poles = append(poles, c.From)
		}
	}
	return poles
}

func inside(l components.Point, body components.Box, turn int) bool {
	a, b := body.Min.Turned(turn), body.Max.Turned(turn)
	return l.X > min(a.X, b.X) && l.X < max(a.X, b.X) && l.Y > min(a.Y, b.Y) && l.Y < max(a.Y, b.Y)
}

// spread gives run ends the free landings of a port. Ends and landings stand in
// the same order along the port, and together as near their far ends as they can.
func spread(doc *components.Document, p components.Part, free []components.Point, ends []runEnd, place func(runEnd, components.Point, ...components.Point)) {
	if len(ends) == 0 {
		return
	}
	along := func(q components.Point) int { return q.X }
	if free[0].X == free[len(free)-1].X && len(free) > 1 {
		along = func(q components.Point) int { return q.Y }
	}
	free = slices.Clone(free)
	slices.SortFunc(free, func(a, b components.Point) int { return cmp.Compare(along(a), along(b)) })
	type want struct {
		end runEnd
		at  int
	}
	wants := make([]want, len(ends))
	for i, e := range ends {
		wants[i] = want{e, along(farEnd(doc, e)) - along(p.At)}
	}
	slices.SortStableFunc(wants, func(a, b want) int { return cmp.Compare(a.at, b.at) })
	// More ends than landings: neighbours share one.
	at := make([]int, len(wants))
	for i := range at {
		at[i] = wants[i].at
	}
	for i, j := range matchInOrder(at, free, along) {
		place(wants[i].end, free[j])
	}
}

// matchInOrder assigns wants to places, both in rising order, so that the sum of
// distances is least. Two wants share a place only where places run short.
func matchInOrder(wants []int, places []components.Point, along func(components.Point) int) []int {
	n, m := len(wants), len(places)
	share := n > m
	const far = math.MaxInt / 4
	cost := make([][]int, n+1)
	took := make([][]bool, n+1)
	for i := range cost {
		cost[i], took[i] = make([]int, m+1), make([]bool, m+1)
		for j := range cost[i] {
			if i > 0 {
				cost[i][j] = far
			}
		}
	}
	for i := 1; i <= n; i++ {
		for j := 1; j <= m; j++ {
			gap := wants[i-1] - along(places[j-1])
			before := cost[i-1][j-1]
			if share {
				before = min(before, cost[i-1][j]+3*components.Module)
			}
			if c := before + max(gap, -gap); c < cost[i][j-1] {
				cost[i][j], took[i][j] = c, true
			} else {
				cost[i][j] = cost[i][j-1]
			}
		}
	}
	got := make([]int, n)
	for i, j := n, m; i > 0; {
		if !took[i][j] {
			j--
			continue
		}
		got[i-1] = j - 1
		if !share || cost[i-1][j-1] <= cost[i-1][j]+3*components.Module {
			j--
		}
		i--
	}
	return got
}

// farEnd is where the other end of a run lies, near enough to tell left from right.
func farEnd(doc *components.Document, e runEnd) components.Point {
	r, _ := doc.Run(e.run)
	ref, near := r.To, r.From
	if e.to {
		ref, near = r.From, r.To
	}
	if r.Path != nil {
		if e.to {
			return r.Path[len(r.Path)-1]
		}
		return r.Path[0]
	}
	p, port, ok := doc.Port(ref)
	if !ok || ref == near {
		return components.Point{}
	}
	at := port.At
	for _, l := range port.Landings { // of a port with leads for each pole, the lead in question
		if l.Pole != "" && slices.Contains(polesAt(doc, runEnd{e.run, !e.to}), l.Pole) {
			at = l.At
			break
		}
	}
	if port.Landings != nil && port.Landings[0].Pole == "" { // of a bar, its middle
		sum := components.Point{}
		for _, l := range port.Landings {
			sum = sum.Add(l.At)
		}
		at = components.Point{X: sum.X / len(port.Landings), Y: sum.Y / len(port.Landings)}
	}
	return at.Add(p.At)
}
