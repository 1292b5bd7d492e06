package cards

import (
	"cmp"
	"math"
	"math/bits"
	"math/cmplx"
	"slices"

	"rigline/components"
	"rigline/export/solved"
	"rigline/rules/circuit"
	"rigline/rules/solve"
)

// sort looks at every load and charger: dead on this supply, switched off by the
// project, of unknown power, or wanting.
func (c *Card) sort(doc *components.Document, s *solved.State, lines []line) []want {
	least := math.Inf(1)
	for _, l := range lines {
		least = min(least, l.Amps)
	}
	var wants []want
	for _, p := range doc.Parts() {
		if p.Gone() || p.Kind != &components.ACLoad && p.Kind != &components.Charger {
			continue
		}
		w := want{Load: Load{ID: p.ID, Name: nameOf(p)}, never: p.Word("never_with")}
		a, b, volts, ok := solve.LoadTerms(s.Circuit, p)
		va := p.Figure("va")
		pf := p.Figure("pf").Value
		if p.Kind == &components.Charger {
			a, ok = s.Circuit.At(p.ID, "ac-in", components.L)
			b, volts = a, doc.MainsVolts()
			amps, dc, eff := p.Figure("charge_a"), p.Figure("dc_v"), p.Figure("efficiency")
			va, pf = amps, 1
			va.Value = amps.Value * dc.Value * 14.4 / 12.8 / eff.Value // at absorption
			if !dc.Known() || !eff.Known() {
				va.From = components.Missing
			}
		}
		w.VA = va.Value
		switch {
		case !ok:
			continue
		case !s.Circuit.Live(a):
			w.Why = "dead on this supply"
		case p.Kind == &components.ACLoad && s.Circuit.Terms[b].Pole.Hot() && (s.Circuit.PhaseOf(a, b) == circuit.InPhase || s.Circuit.PhaseOf(a, b) == circuit.OneDead):
			w.Why = "needs 240 V, which this supply has not"
		case slices.Contains(c.State.Off, p.ID) || len(c.State.On) > 0 && !slices.Contains(c.State.On, p.ID):
			w.Why = "off on this supply, by the project"
		case !va.Known():
			w.Why = "its power is not known"
			c.unknown("the power of %s is not known: read it off its plate, and leave it off until then", p.ID)
		}
		if w.Why != "" {
			c.Off = append(c.Off, w.Load)
			continue
		}
		w.demand = demand(s, lines, a, b, w.VA, pf, volts)
		w.on = w.VA/volts <= small*least && p.Kind == &components.ACLoad
		wants = append(wants, w)
	}
	slices.SortStableFunc(wants, func(x, y want) int { return cmp.Compare(y.VA, x.VA) })
	return wants
}

// demand is what a load draws from each line, as phasors against its own hot.
func demand(s *solved.State, lines []line, a, b circuit.Term, va, pf, volts float64) []complex128 {
	d := make([]complex128, len(lines))
	i := complex(va/volts*pf, -va/volts*math.Sqrt(max(0, 1-pf*pf)))
	for k, l := range lines {
		if s.Circuit.Net(l.source.Hot) == s.Circuit.Net(a) || b != a && s.Circuit.Terms[b].Pole.Hot() && s.Circuit.Net(l.source.Hot) == s.Circuit.Net(b) {
			d[k] += i
		}
	}
	return d
}

// sets are the largest combinations of the bigger loads that fit by their rated
// currents, beside the small ones; the solution has the last word later.
func (c *Card) sets(wants []want, lines []line) [][]int {
	base := make([]complex128, len(lines))
	var big []int
	for i, w := range wants {
		if w.on {
			for k := range base {
				base[k] += w.demand[k]
			}
			continue
		}
		big = append(big, i)
	}
	if !within(base, lines) { // the small ones alone are too much: none is taken for granted
		for i := range wants {
			wants[i].on = false
		}
		base, big = make([]complex128, len(lines)), nil
		for i := range wants {
			big = append(big, i)
		}
	}
	var can []int
	for _, i := range big {
		if !within(plus(base, wants[i].demand), lines) {
			wants[i].Why = "too big for this supply, even alone"
			c.TooBig = append(c.TooBig, wants[i].Load)
			continue
		}
		can = append(can, i)
	}
	if len(can) <= c.tried {
		all := every(base, wants, can, lines)
		c.more = len(all) > mostChoices
		return covering(all, can)
	}
	some := covering(greedy(base, wants, can, lines), can)
	return some[:min(fewChoices, len(some))]
}

func plus(a, b []complex128) []complex128 {
	sum := slices.Clone(a)
	for i := range sum {
		sum[i] += b[i]
	}
	return sum
}

func within(amps []complex128, lines []line) bool {
	for k, l := range lines {
		if cmplx.Abs(amps[k]) > l.Amps*hair {
			return false
		}
	}
	return true
}

// every finds all sets that fit and that no other load fits beside.
func every(base []complex128, wants []want, can []int, lines []line) [][]int {
	n := len(can)
	ok := make([]bool, 1<<n)
	for s := range ok {
		sum := slices.Clone(base)
		for k := range n {
			if s>>k&1 == 1 {
				sum = plus(sum, wants[can[k]].demand)
			}
		}
		ok[s] = within(sum, lines) && !barred(wants, can, s)
	}
	var all [][]int
	for s := range ok {
		largest := ok[s]
		for k := 0; k < n && largest; k++ {
			largest = s>>k&1 == 1 || !ok[s|1<<k]
		}
		if !largest {
			continue
		}
		members := make([]int, 0, bits.OnesCount(uint(s)))
		for k := range n {
			if s>>k&1 == 1 {
				members = append(members, can[k])
			}
		}
		all = append(all, members)
	}
	return all
}

// barred tells whether a set has two loads that never run together.
func barred(wants []want, can []int, set int) bool {
	seen := map[string]bool{}
	for k, i := range can {
		if group := wants[i].never; set>>k&1 == 1 && group != "" {
			if seen[group] {
				return true
			}
			seen[group] = true
		}
	}
	return false
}

// greedy begins with each load in turn and adds the largest that still fit.
func greedy(base []complex128, wants []want, can []int, lines []line) [][]int {
	tighter := slices.Clone(lines) // drops and losses come on top of what the loads are rated for
	for i := range tighter {
		tighter[i].Amps *= 0.97
	}
	var all [][]int
	for _, first := range can {
		if len(all) >= mostChoices {
			break
		}
		sum := plus(base, wants[first].demand)
		members := []int{first}
		for _, i := range can {
			if i == first {
				continue
			}
			if next := plus(sum, wants[i].demand); within(next, tighter) {
				sum, members = next, append(members, i)
			}
		}
		all = withSet(all, members)
	}
	return all
}

// withSet adds a set of loads to others, where it is not among them.
func withSet(all [][]int, set []int) [][]int {
	slices.Sort(set)
	if slices.ContainsFunc(all, func(other []int) bool { return slices.Equal(other, set) }) {
		return all
	}
	return append(all, set)
}

// covering orders the sets so that each brings most loads that none before it has,
// and keeps as many as a card holds.
func covering(all [][]int, can []int) [][]int {
	covered := map[int]bool{}
	var kept [][]int
	for len(all) > 0 && len(kept) < mostChoices {
		best, gain := 0, -1
		for i, members := range all {
			g := 0
			for _, m := range members {
				if !covered[m] {
					g += 1 << 8
				}
			}
			g += len(members)
			if g > gain {
				best, gain = i, g
			}
		}
		for _, m := range all[best] {
			covered[m] = true
		}
		kept = append(kept, all[best])
		all = slices.Delete(all, best, best+1)
	}
	return kept
}
