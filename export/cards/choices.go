package cards

import (
	"fmt"
	"math"
	"math/cmplx"
	"slices"

	"rigline/components"
	"rigline/export/solved"
	"rigline/rules/circuit"
	"rigline/rules/solve"
)

// mostTries is how many sets are solved for a card.
const mostTries = 120

// choose solves every set with the supply's limit, leaves one load after the other out
// of one that does not hold, and says what each draws and how long the bank lasts.
func (c *Card) choose(doc *components.Document, quiet *circuit.Layout, wants []want, sets [][]int, lines []line) {
	var always []components.ID
	for _, w := range wants {
		if w.on {
			c.Always = append(c.Always, w.Load)
			always = append(always, w.ID)
		}
	}
	tooBig := slices.Clone(c.TooBig)
	try, err := c.trying(doc, wants, always, lines, c.settings(doc, quiet, wants, sets, always, lines))
	if err != nil {
		c.Failure = err.Error()
		return
	}
	if base, why, ok := try(nil); ok {
		c.charge(base)
		if c.Kind == OffGrid {
			c.Choices = append(c.Choices, c.choice(base, nil, wants, lines))
		}
	} else {
		c.Unknown = append(c.Unknown, "even the small loads do not hold on this supply: "+why)
		return
	}
	big := 0
	for _, w := range wants {
		if !w.on {
			big++
		}
	}
	seen := map[string]bool{}
	for queue := slices.Clone(sets); len(queue) > 0 && len(seen) < mostTries; queue = queue[1:] {
		members := queue[0]
		key := fmt.Sprint(members)
		if len(members) == 0 || seen[key] {
			continue
		}
		seen[key] = true
		s, why, ok := try(members)
		switch {
		case ok:
			c.Choices = append(c.Choices, c.choice(s, members, wants, lines))
			c.All = c.All || len(members) == big
		case len(members) == 1:
			l := wants[members[0]].Load
			l.Why = why
			c.TooBig = append(c.TooBig, l)
		case big > c.tried:
			queue = append(queue, fewer(members, wants, s, lines))
		default: // whichever one is left out, largest sets first
			for i := len(members) - 1; i >= 0; i-- {
				queue = append(queue, slices.Delete(slices.Clone(members), i, i+1))
			}
		}
	}
	for i, w := range wants { // none is passed over because it was dropped beside others
		if w.on || big > c.tried || c.names(w.ID) { // of very many loads a card tells a few sets alone
			continue
		}
		if s, why, ok := try([]int{i}); ok {
			c.Choices = append(c.Choices, c.choice(s, []int{i}, wants, lines))
		} else {
			w.Why = why
			c.TooBig = append(c.TooBig, w.Load)
		}
	}
	c.All = c.All || big == 0
	c.largest()
	told := *c
	if !c.All && (big > c.tried || c.more || len(c.Choices) > mostChoices) { // what a card leaves out, sums tell
		c.TooBig = tooBig
		if c.instead(doc, quiet, wants, always, lines); len(c.Budget.Loads) > 0 {
			return
		}
		*c = told
	}
	c.few()
	c.TooBig = unlessChosen(c.TooBig, c.Choices)
}

// trying gives what solves a set of loads, beside the small ones, with the card's
// settings made, and tells whether it holds.
func (c *Card) trying(doc *components.Document, wants []want, always []components.ID, lines []line, set map[components.ID]float64) (func(members []int) (*solved.State, string, bool), error) {
	charging, err := limited(doc, set)
	if err != nil {
		return nil, err
	}
	laid := circuit.Lay(charging)
	return func(members []int) (*solved.State, string, bool) {
		on := slices.Clone(always)
		for _, i := range members {
			on = append(on, wants[i].ID)
		}
		s := solved.One(laid, switched(charging, c.State, on))
		why, ok := c.fits(s, lines)
		return s, why, ok
	}, nil
}

// instead puts a budget in the place of choices.
func (c *Card) instead(doc *components.Document, quiet *circuit.Layout, wants []want, always []components.ID, lines []line) {
	c.Set, c.Choices, c.Charge = nil, nil, nil
	try, err := c.trying(doc, wants, always, lines, c.reserve(doc, quiet, always, lines))
	if err != nil {
		c.Failure = err.Error()
		return
	}
	base, why, ok := try(nil)
	if !ok {
		c.unknown("even the small loads do not hold on this supply: %s", why)
		return
	}
	c.charge(base)
	if c.Kind == OffGrid {
		c.Choices = append(c.Choices, c.choice(base, nil, wants, lines))
	}
	var big []int
	for i, w := range wants {
		if !w.on && !slices.ContainsFunc(c.TooBig, func(l Load) bool { return l.ID == w.ID }) {
			big = append(big, i)
		}
	}
	c.budget(wants, big, lines, base, try)
}

// fewer drops the smallest loads of a set that does not hold: as many as ask for
// what a line gives too much, and always one.
func fewer(members []int, wants []want, s *solved.State, lines []line) []int {
	drop := 1
	for k, l := range lines {
		if !s.Solved() {
			drop = max(drop, len(members)/8)
			break
		}
		over := s.Drawn(l.source.Hot) - l.Amps*hair
		n := 0
		for i := len(members) - 1; i >= 0 && over > 0; i-- { // they stand largest first
			over -= cmplx.Abs(wants[members[i]].demand[k])
			n++
		}
		drop = max(drop, n)
	}
	if drop == 1 {
		drop = max(1, len(members)/mostEnumerated)
	}
	return members[:len(members)-drop]
}

// largest leaves out a choice that another one holds whole; the small loads alone
// stay.
func (c *Card) largest() {
	sets := make([]map[components.ID]bool, len(c.Choices))
	for i, ch := range c.Choices {
		sets[i] = make(map[components.ID]bool, len(ch.Loads))
		for _, l := range ch.Loads {
			sets[i][l.ID] = true
		}
	}
	kept := make([]Choice, 0, len(c.Choices))
	for i, ch := range c.Choices {
		held := false
		for j, o := range c.Choices {
			held = held || len(ch.Loads) > 0 && len(o.Loads) > len(ch.Loads) && !slices.ContainsFunc(ch.Loads, func(l Load) bool { return !sets[j][l.ID] })
		}
		if !held {
			kept = append(kept, c.Choices[i])
		}
	}
	c.Choices = kept
}

// few keeps as many choices as a card holds, of those first that bring loads which none
// before has; what none brings any more has one of its own. Off grid the small loads
// alone stay in front.
func (c *Card) few() {
	if len(c.Choices) <= mostChoices {
		return
	}
	seen := map[components.ID]bool{}
	fresh := func(ch Choice) int {
		n := 0
		for _, l := range ch.Loads {
			if !seen[l.ID] {
				n++
			}
		}
		return n
	}
	var kept []Choice
	for left := slices.Clone(c.Choices); len(left) > 0; {
		best := 0
		for i, ch := range left {
			if len(ch.Loads) == 0 {
				best = i
				break
			}
			if a, b := fresh(ch), fresh(left[best]); a > b || a == b && len(ch.Loads) > len(left[best].Loads) {
				best = i
			}
		}
		if len(kept) >= mostChoices && fresh(left[best]) == 0 {
			break
		}
		for _, l := range left[best].Loads {
			seen[l.ID] = true
		}
		kept = append(kept, left[best])
		left = slices.Delete(left, best, best+1)
	}
	c.Choices = kept
}

// names tells whether a load stands in a choice or among those that are too big.
func (c *Card) names(id components.ID) bool {
	is := func(l Load) bool { return l.ID == id }
	return slices.ContainsFunc(c.TooBig, is) || slices.ContainsFunc(c.Choices, func(ch Choice) bool { return slices.ContainsFunc(ch.Loads, is) })
}

// unlessChosen leaves out of the loads that are too big those that a choice has.
func unlessChosen(big []Load, choices []Choice) []Load {
	seen := map[components.ID]bool{}
	return slices.DeleteFunc(big, func(l Load) bool {
		if seen[l.ID] {
			return true
		}
		seen[l.ID] = true
		for _, c := range choices {
			if slices.ContainsFunc(c.Loads, func(o Load) bool { return o.ID == l.ID }) {
				return true
			}
		}
		return false
	})
}

// settings finds the input limit of each inverter/charger: what the supply may
// give for hours less what else is drawn on the hot that it charges from, its own
// other leg among it where an adapter bridges the two, for the worst of the sets.
func (c *Card) settings(doc *components.Document, quiet *circuit.Layout, wants []want, sets [][]int, always []components.ID, lines []line) map[components.ID]float64 {
	limit := map[components.ID]float64{}
	if c.Kind == OffGrid {
		return limit
	}
	ahead := map[components.ID]float64{}
	hot := map[components.ID]line{}
	drawn := shared{}
	behind := map[components.ID]circuit.Device{} // the smallest breaker ahead of each
	over := map[components.ID]float64{}          // what the neutrals have room for, with what each passes
	whose := map[components.ID]string{}
	for k, members := range append([][]int{nil}, sets...) {
		on := slices.Clone(always)
		for _, i := range members {
			on = append(on, wants[i].ID)
		}
		s := solved.One(quiet, switched(quiet.Doc, c.State, on))
		if s.Solution.Failure != nil {
			continue
		}
		eachPassing(s, quiet.Doc, lines, func(link int, p components.Part, ln line, amps float64) {
			if d, ok := breakerAhead(s, link); ok {
				behind[p.ID] = d
			}
			if left, what := c.leftBack(s, p.ID, lines, ln); what != "" {
				if before, seen := over[p.ID]; !seen || amps+left < before {
					over[p.ID], whose[p.ID] = amps+left, what
				}
			}
			before, seen := ahead[p.ID]
			total := s.Drawn(ln.source.Hot)
			drawn.note(ln.Hot, k, total, p.ID, amps)
			if rest := max(0, total-amps); !seen || rest > before {
				ahead[p.ID], hot[p.ID] = rest, ln
			}
		})
	}
	var found []components.ID
	for id := range ahead {
		found = append(found, id)
	}
	slices.SortFunc(found, components.CompareIDs)
	free, why := map[components.ID]float64{}, map[components.ID]string{}
	for _, id := range found {
		ln := hot[id]
		p, _ := quiet.Doc.Part(id)
		real, _ := doc.Part(id)
		if charges(real, c.Mains) == 0 { // it has nothing to hold back, and passes on what is asked
			ahead[id] = 0
		}
		free[id], why[id] = math.Floor(ln.Amps-ahead[id]+rounding), ln.Why
		if ahead[id] > 0.5 {
			why[id] += fmt.Sprintf(", less %.1f A that others draw on the same hot", ahead[id])
		}
		if d, ok := behind[id]; ok {
			if most, says := held(doc, d.RatingA.Value, d.String()+"'s"); math.Floor(most+rounding) < free[id] {
				free[id], why[id] = math.Floor(most+rounding), says
			}
		}
		if most, ok := over[id]; ok && charges(real, c.Mains) > 0 && math.Floor(most+rounding) < free[id] {
			free[id], why[id] = math.Floor(most+rounding), "what is left of "+whose[id]
		}
		if relay := p.Figure("relay_a"); relay.Known() && free[id] > relay.Value {
			free[id], why[id] = relay.Value, fmt.Sprintf("its own relay of %v A", relay.Value)
		}
	}
	for _, ln := range lines {
		own, most := map[components.ID]float64{}, map[components.ID]float64{}
		for _, id := range found {
			if p, _ := doc.Part(id); hot[id].Hot == ln.Hot && charges(p, c.Mains) > 0 {
				own[id], most[id] = max(0, free[id]), charges(p, c.Mains)
			}
		}
		drawn.divide(ln.Hot, ln.Amps, own, most)
		for id, amps := range own {
			if amps < free[id] {
				free[id] = amps
				why[id] += ", shared with the others that charge from it"
			}
		}
	}
	for _, id := range found {
		if free[id] < 1 {
			c.Set = append(c.Set, Setting{id, "charging", "off", why[id] + ": nothing is left to charge with"})
			limit[id] = 0
			continue
		}
		limit[id] = free[id]
		p, _ := doc.Part(id)
		if charges(p, c.Mains) == 0 {
			why[id] += "; it does not charge"
		} else if most := drawn.passed(id); most > free[id]+0.5 {
			rest := "it holds back charging alone"
			if p.Is("boost") {
				rest = "the bank gives what is above it"
			}
			why[id] += fmt.Sprintf("; what it passes on may come to %.1f A, %s", most, rest)
		}
		c.Set = append(c.Set, Setting{id, "input current limit", fmt.Sprintf("%.0f A", free[id]), why[id] + beyondDrawn(p, free[id]) + ". Some devices want it in total and not per leg"})
	}
	return limit
}

// breakerAhead is the smallest overcurrent device of known rating that a link's current
// has passed on the way from its source.
func breakerAhead(s *solved.State, link int) (d circuit.Device, ok bool) {
	for _, f := range s.Feeds()[link] {
		for _, x := range []*circuit.Device{f.Device, f.Last} {
			if x != nil && x.Part != "" && x.RatingA.Known() && (!ok || x.RatingA.Value < d.RatingA.Value) {
				d, ok = *x, true
			}
		}
	}
	return d, ok
}

// limited is the document with the card's settings made.
func limited(doc *components.Document, limit map[components.ID]float64) (*components.Document, error) {
	var edits []components.Edit
	for _, p := range doc.Parts() {
		amps, ok := limit[p.ID]
		switch {
		case !ok:
		case amps == 0:
			edits = append(edits, components.Set{On: p.ID, Key: "charge_a", Value: components.Num(0)})
		default:
			edits = append(edits, components.Set{On: p.ID, Key: "input_limit_a", Value: components.Num(min(100, amps))})
		}
	}
	return doc.Apply(edits...)
}

// choice tells what a solved set draws.
func (c *Card) choice(s *solved.State, members []int, wants []want, lines []line) Choice {
	var ch Choice
	for _, i := range members {
		ch.Loads = append(ch.Loads, wants[i].Load)
	}
	for _, l := range lines {
		ch.Amps = append(ch.Amps, s.Drawn(l.source.Hot))
	}
	ch.Left = c.leftAtOutlets(s, lines)
	ch.Volts = math.Inf(1)
	if math.IsInf(ch.Left, 1) {
		ch.Left = 0
	}
	if c.plugged > 0 {
		ch.Left = min(ch.Left, c.plugged)
	}
	for _, w := range wants {
		p, _ := s.Circuit.Doc.Part(w.ID)
		if p.Kind != &components.ACLoad || slices.Contains(s.Off, w.ID) {
			continue
		}
		a, b, rated, ok := solve.LoadTerms(s.Circuit, p)
		if !ok {
			continue
		}
		if v, ok := s.Solution.Between(a, b); ok {
			ch.Volts = min(ch.Volts, cmplx.Abs(v)*s.Circuit.Doc.MainsVolts()/rated)
		}
	}
	if math.IsInf(ch.Volts, 1) {
		ch.Volts = 0
	}
	ch.Hours, ch.Bank = lasts(s)
	return ch
}
