package cards

import (
	"cmp"
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"

	"rigline/components"
	"rigline/export/solved"
	"rigline/rules/circuit"
	"rigline/rules/solve"
)

// Budget tells what may run together where there are too many larger loads to tell
// their combinations: what each draws, and the sums that must not be passed.
type Budget struct {
	Loads []Share
	Sums  []Sum
}

// Share is what a load draws from each hot, in the order of the card's limits, rounded
// up to a tenth of an ampere.
type Share struct {
	Load
	Amps []float64
}

// Sum is what loads may draw together from one hot, or from those in phase that share a
// neutral, beside the small ones, rounded down to a tenth of an ampere.
type Sum struct {
	Where string          // "SH1 L1", "PNL2's main, 25 A"
	Lines []int           // the hots whose amperes are added, by their numbers among the card's limits
	Amps  float64         //
	Of    []components.ID // the loads that it is of, nil for all that draw from the hot
}

// Holds tells whether a set of loads keeps to every sum.
func (b Budget) Holds(on map[components.ID]bool) bool {
	for _, s := range b.Sums {
		amps := 0.0
		for _, l := range b.Loads {
			if on[l.ID] && (s.Of == nil || slices.Contains(s.Of, l.ID)) {
				amps += drawnFrom(l.Amps, s.Lines)
			}
		}
		if amps > s.Amps+1e-9 {
			return false
		}
	}
	return true
}

// drawnFrom adds up what is drawn from some hots.
func drawnFrom(amps []float64, lines []int) float64 {
	sum := 0.0
	for _, k := range lines {
		sum += amps[k]
	}
	return sum
}

// eachPassing calls do for each inverter/charger that passes a supply through: with the
// link of its first hot, the hot of the supply that it takes from, and what it takes.
func eachPassing(s *solved.State, doc *components.Document, lines []line, do func(link int, p components.Part, ln line, amps float64)) {
	for i, l := range s.Circuit.Links {
		p, _ := doc.Part(l.Part)
		if p.Kind != &components.InverterCharger || l.Join.When != components.Passing || !l.Closed || l.Join.BPort != "ac-out" || l.Join.APole != components.L && l.Join.APole != components.L1 {
			continue
		}
		amps, ok := s.Solution.Amps(i)
		if !ok {
			continue
		}
		for _, ln := range lines {
			if s.Circuit.Net(ln.source.Hot) == s.Circuit.Net(l.A) {
				do(i, p, ln, amps)
			}
		}
	}
}

// kept is the part of a hot that is kept for charging where loads would ask for all of it.
const kept = 0.2

// reserve sets each inverter/charger to what it passes to the small loads and a share
// of its hot for charging, which the sums leave to it.
func (c *Card) reserve(doc *components.Document, quiet *circuit.Layout, always []components.ID, lines []line) map[components.ID]float64 {
	limit := map[components.ID]float64{}
	if c.Kind == OffGrid {
		return limit
	}
	s := solved.One(quiet, switched(quiet.Doc, c.State, always))
	if s.Solution.Failure != nil {
		return limit
	}
	type input struct {
		id   components.ID
		line line
		amps float64
		most float64 // that it may pass for hours
		why  string
	}
	var all []input
	on := map[string]int{}
	eachPassing(s, quiet.Doc, lines, func(link int, p components.Part, ln line, amps float64) {
		in := input{id: p.ID, line: ln, amps: amps, most: math.Inf(1)}
		if d, ok := breakerAhead(s, link); ok {
			in.most, in.why = held(doc, d.RatingA.Value, d.String()+"'s")
		}
		if left, what := c.leftBack(s, p.ID, lines, ln); amps+kept*left < in.most { // the sums want some of it too
			in.most, in.why = amps+kept*left, fmt.Sprintf("%.0f %% of what is left of %s", 100*kept, what)
		}
		if relay := p.Figure("relay_a"); relay.Known() && relay.Value < in.most {
			in.most, in.why = relay.Value, fmt.Sprintf("its own relay of %v A", relay.Value)
		}
		all, on[ln.Hot] = append(all, in), on[ln.Hot]+1
	})
	slices.SortFunc(all, func(x, y input) int { return components.CompareIDs(x.id, y.id) })
	for _, in := range all {
		p, _ := doc.Part(in.id)
		if charges(p, c.Mains) == 0 {
			amps := math.Floor(min(in.most, in.line.Amps) + rounding)
			limit[in.id] = amps
			c.Set = append(c.Set, Setting{in.id, "input current limit", fmt.Sprintf("%.0f A", amps), cmp.Or(in.why, in.line.Why) + "; it does not charge. Some devices want it in total and not per leg"})
			continue
		}
		part := kept * in.line.Amps / float64(on[in.line.Hot])
		want := in.amps + min(part, charges(p, c.Mains))
		why := fmt.Sprintf("%.0f %% of what %s may give is kept for charging, beside the small loads behind it", 100*kept, in.line.Hot)
		if in.most < want {
			want, why = in.most, in.why
		}
		amps := math.Floor(want + rounding)
		limit[in.id] = max(0, amps)
		if amps < 1 {
			limit[in.id] = 0
			c.Set = append(c.Set, Setting{in.id, "charging", "off", why + ": too little to charge with"})
			continue
		}
		c.Set = append(c.Set, Setting{in.id, "input current limit", fmt.Sprintf("%.0f A", amps), why + beyondDrawn(p, amps) + ". Some devices want it in total and not per leg"})
	}
	return limit
}

// beyondDrawn says that a limit is above the one that the drawing tells.
func beyondDrawn(p components.Part, amps float64) string {
	told := p.Told("input_limit_a")
	if !told.Known() || amps <= told.Num() {
		return ""
	}
	return fmt.Sprintf(". The drawing tells %v A, and its check goes by that", told.Num())
}

// gate is a contact or breaker on the way to several loads.
type gate struct {
	what  string
	rated float64
	lines []int   // the hots whose currents it carries
	left  float64 // of its rating, beside the small loads
	of    []int   // the loads behind it, as numbers of the wants
}

func (g gate) where() string { return fmt.Sprintf("%s, %v A", g.what, g.rated) }

// gates finds every rated contact on the way from a hot to the larger loads, and every
// neutral on the way back. The way is the shortest; where there are two, all of a load
// counts on one of them.
func (c *Card) gates(s *solved.State, wants []want, big []int, lines []line) []gate {
	var all []gate
	find := func(from circuit.Term, along func(components.Pole) bool, ends func(components.Part) []circuit.Term, rated func(circuit.Link) (float64, string), sum []int) {
		via := ways(s.Circuit, from, along)
		behind := map[int][]int{}
		for _, w := range big {
			p, _ := s.Circuit.Doc.Part(wants[w].ID)
			for _, t := range ends(p) {
				back(s.Circuit, via, t, func(i int) {
					if n := len(behind[i]); n == 0 || behind[i][n-1] != w {
						behind[i] = append(behind[i], w)
					}
				})
			}
		}
		for i, l := range s.Circuit.Links {
			if len(behind[i]) == 0 {
				continue
			}
			most, what := rated(l)
			base, ok := s.Solution.Amps(i)
			if most <= 0 || !ok {
				continue
			}
			all = append(all, gate{what, most, sum, most - base, behind[i]})
		}
	}
	for k, ln := range lines {
		find(ln.source.Hot, components.Pole.Hot, func(p components.Part) []circuit.Term { return hotsOf(s, p) }, func(l circuit.Link) (float64, string) {
			if l.Part == "" {
				return 0, ""
			}
			return ratedOf(s.Circuit, l)
		}, []int{k})
		if sum := summed(lines, ln); sum[0] == k {
			find(ln.source.Return, isNeutral, func(p components.Part) []circuit.Term { return backOf(s, p) }, func(l circuit.Link) (float64, string) { return c.returns(s.Circuit, l) }, sum)
		}
	}
	return all
}

// hotsOf are the hot terminals of a load or a charger.
func hotsOf(s *solved.State, p components.Part) []circuit.Term {
	return termsOf(s, p, components.L, components.L1, components.L2)
}

// backOf is the neutral terminal of a load between a hot and the neutral, or of a charger.
func backOf(s *solved.State, p components.Part) []circuit.Term {
	if p.Figure("hots").Value == 2 {
		return nil
	}
	return termsOf(s, p, components.N)
}

func termsOf(s *solved.State, p components.Part, poles ...components.Pole) []circuit.Term {
	port := "in"
	if p.Kind == &components.Charger {
		port = "ac-in"
	}
	var all []circuit.Term
	for _, pole := range poles {
		if t, ok := s.Circuit.At(p.ID, port, pole); ok {
			all = append(all, t)
		}
	}
	return all
}

func upTenth(a float64) float64   { return math.Ceil(a*10-1e-6) / 10 }
func downTenth(a float64) float64 { return math.Floor(a*10+1e-6) / 10 }

// budget finds what the larger loads may come to together, and tries it on the sets
// that fill it in many ways, the fullest of every sum among them; where one does not
// hold, all sums come down until none fails.
func (c *Card) budget(wants []want, big []int, lines []line, base *solved.State, try func([]int) (*solved.State, string, bool)) {
	all := c.gates(base, wants, big, lines)
	for scale, down := 1.0, 1.0; scale > 0.4; scale *= down {
		b, members := c.sums(wants, big, lines, base, all, scale)
		if len(members) == 0 {
			c.Budget = b
			return
		}
		fills := c.fills(b, members, wants)
		results := make([]*solved.State, len(fills))
		held := make([]bool, len(fills))
		solve.InParallel(len(fills), func(i int) { results[i], _, held[i] = try(fills[i]) })
		if down = step(results, lines); slices.Contains(held, false) {
			continue
		}
		c.Budget = b
		for i, members := range fills[:min(fewChoices, len(fills))] {
			c.Choices = append(c.Choices, c.choice(results[i], members, wants, lines))
		}
		c.largest()
		return
	}
	c.unknown("no sum of amperes holds on this supply with every mix of its loads: run the small loads and one larger one at a time")
}

// step is by how much sums come down that some sets passed: what the worst of them draws
// above its hot, and at least a little.
func step(results []*solved.State, lines []line) float64 {
	down := 0.97
	for _, s := range results {
		if !s.Solved() {
			continue
		}
		for _, l := range lines {
			if a := s.Drawn(l.source.Hot); a > 0 {
				down = min(down, l.Amps/a)
			}
		}
	}
	return max(0.8, down)
}

// sums are the sums at a scale, and the loads that keep to them alone.
func (c *Card) sums(wants []want, big []int, lines []line, base *solved.State, all []gate, scale float64) (b Budget, members []int) {
	c.TooBig = slices.DeleteFunc(c.TooBig, func(l Load) bool {
		return slices.ContainsFunc(big, func(i int) bool { return wants[i].ID == l.ID })
	})
	amps := map[int][]float64{}
	for _, i := range big {
		for k := range lines {
			amps[i] = append(amps[i], upTenth(cmplx.Abs(wants[i].demand[k])))
		}
	}
	sums := make([]Sum, len(lines))
	for k, l := range lines {
		sums[k] = Sum{Where: l.Hot, Lines: []int{k}, Amps: max(0, downTenth((l.Amps-base.Drawn(l.source.Hot))*scale))}
	}
	for _, i := range big {
		w, why := wants[i], ""
		for k, s := range sums {
			if amps[i][k] > s.Amps {
				why = fmt.Sprintf("draws %.1f A, and %s has %.1f A left", amps[i][k], s.Where, s.Amps)
			}
		}
		for _, g := range all {
			if left := downTenth(g.left * scale); slices.Contains(g.of, i) && drawnFrom(amps[i], g.lines) > left {
				why = fmt.Sprintf("draws %.1f A, and %s has %.1f A left", drawnFrom(amps[i], g.lines), g.where(), left)
			}
		}
		if why != "" {
			w.Why = why
			c.TooBig = append(c.TooBig, w.Load)
			continue
		}
		members = append(members, i)
		b.Loads = append(b.Loads, Share{w.Load, amps[i]})
	}
	for k, s := range sums {
		if slices.ContainsFunc(b.Loads, func(l Share) bool { return l.Amps[k] > 0 }) {
			b.Sums = append(b.Sums, s)
		}
	}
	for _, g := range all {
		s := Sum{Where: g.where(), Lines: g.lines, Amps: max(0, downTenth(g.left*scale))}
		together := 0.0
		for _, i := range g.of {
			if slices.Contains(members, i) {
				together += drawnFrom(amps[i], g.lines)
				s.Of = append(s.Of, wants[i].ID)
			}
		}
		hots := 0.0
		for _, k := range g.lines {
			hots += sums[k].Amps
		}
		if together <= s.Amps || s.Amps >= hots || b.says(s) {
			continue
		}
		b.Sums = append(slices.DeleteFunc(b.Sums, func(o Sum) bool { return o.Of != nil && (Budget{Sums: []Sum{s}}).says(o) }), s)
	}
	return b, members
}

// says tells whether another sum says as much: it is of these loads or more, and no
// larger.
func (b Budget) says(s Sum) bool {
	return slices.ContainsFunc(b.Sums, func(o Sum) bool {
		if o.Of == nil || !slices.Equal(o.Lines, s.Lines) || o.Amps > s.Amps {
			return false
		}
		return !slices.ContainsFunc(s.Of, func(id components.ID) bool { return !slices.Contains(o.Of, id) })
	})
}

// fills are sets that no further load fits beside: with the largest first, the
// smallest first, those of each sum first, and in orders by chance, the same ones each
// time.
func (c *Card) fills(b Budget, members []int, wants []want) [][]int {
	const usual, ofMany, many = 12, 4, 60
	share := map[int]Share{}
	for n, i := range members {
		share[i] = b.Loads[n]
	}
	size := func(i int) float64 { return slices.Max(share[i].Amps) }
	largest := slices.Clone(members)
	slices.SortStableFunc(largest, func(x, y int) int { return cmp.Compare(size(y), size(x)) })
	smallest := slices.Clone(largest)
	slices.Reverse(smallest)
	orders := [][]int{largest, smallest}
	for _, s := range b.Sums {
		in := func(i int) bool {
			return drawnFrom(share[i].Amps, s.Lines) > 0 && (s.Of == nil || slices.Contains(s.Of, wants[i].ID))
		}
		for _, from := range [][]int{largest, smallest} {
			first := slices.Clone(from)
			slices.SortStableFunc(first, func(x, y int) int { return cmp.Compare(b2i(in(y)), b2i(in(x))) })
			orders = append(orders, first)
		}
	}
	n := usual
	if len(members) > many {
		n = ofMany
		orders = orders[:min(len(orders), ofMany)]
	}
	chance := rand.New(rand.NewPCG(1, 2))
	for range n {
		order := slices.Clone(members)
		chance.Shuffle(len(order), func(i, j int) { order[i], order[j] = order[j], order[i] })
		orders = append(orders, order)
	}
	var all [][]int
	for _, order := range orders {
		drawn := make([]float64, len(b.Sums))
		var set []int
		for _, i := range order {
			next := slices.Clone(drawn)
			fits := true
			for n, s := range b.Sums {
				if s.Of == nil || slices.Contains(s.Of, wants[i].ID) {
					next[n] += drawnFrom(share[i].Amps, s.Lines)
				}
				fits = fits && next[n] <= s.Amps+1e-9
			}
			if fits {
				drawn, set = next, append(set, i)
			}
		}
		all = withSet(all, set)
	}
	return all
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}
