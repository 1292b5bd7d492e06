package cards

import (
	"cmp"
	"fmt"
	"math"
	"math/bits"
	"math/cmplx"
	"runtime"
	"slices"
	"strings"
	"sync"

	"rigline/components"
	"rigline/export/solved"
	"rigline/rules/circuit"
	"rigline/rules/solve"
	"rigline/rules/tables"
)

// The size of a card: more would not be read at the door.
const (
	mostChoices    = 8
	mostEnumerated = 12   // larger loads that are tried in every combination
	fewChoices     = 3    // where there are more than that
	small          = 0.10 // of the smallest hot: what counts as always on
)

// Of makes the cards of a rig: a site's, its smaller ones, a generator's, and the
// one off grid.
func Of(doc *components.Document) []Card {
	all := supplies(doc)
	made := make([]Card, len(all))
	quiet, err := withoutCharging(doc)
	if err != nil {
		for i, s := range all {
			made[i] = Card{Kind: s.kind, Title: s.title, State: s.state, Failure: err.Error()}
		}
		return made
	}
	laid := circuit.Lay(quiet)
	var wait sync.WaitGroup
	slots := make(chan struct{}, runtime.GOMAXPROCS(0))
	for i, s := range all {
		wait.Go(func() {
			slots <- struct{}{}
			made[i] = one(doc, laid, s)
			<-slots
		})
	}
	wait.Wait()
	return made
}

// want is a load that asks for power: its current in the lines of the card.
type want struct {
	Load
	on     bool // counted in every combination
	demand []complex128
}

// one makes the card of a supply. quiet is the document without charging, laid out.
func one(doc *components.Document, quiet *circuit.Layout, sup supply) Card {
	c := Card{Kind: sup.kind, Title: sup.title, State: sup.state, Mains: doc.MainsVolts()}
	idle := solved.One(quiet, switched(quiet.Doc, sup.state, nil))
	if f := idle.Solution.Failure; f != nil {
		c.Failure = f.Reason
		return c
	}
	lines := c.limits(idle)
	if len(lines) == 0 && sup.kind != OffGrid { // off grid there is still the bank to tell of
		c.Failure = "nothing gives AC on this supply"
		c.banks(doc)
		return c
	}
	wants := c.sort(doc, idle, lines)
	c.banks(doc)
	c.outlets(idle)
	sets := c.sets(wants, lines)
	c.choose(doc, quiet, wants, sets, lines)
	c.motors(doc, wants)
	return c
}

// withoutCharging is the document with its inverters' chargers at nought, so that
// what the loads draw stands alone.
func withoutCharging(doc *components.Document) (*components.Document, error) {
	var edits []components.Edit
	for _, p := range doc.Parts() {
		if p.Kind == &components.InverterCharger && !p.Gone() {
			edits = append(edits, components.Set{On: p.ID, Key: "charge_a", Value: components.Num(0)}, components.Set{On: p.ID, Key: "input_limit_a", Value: components.Value{}})
		}
	}
	return doc.Apply(edits...)
}

// switched is the state with the loads of a list on and all other AC loads and
// chargers off. DC loads stay as the state has them.
func switched(doc *components.Document, st components.State, on []components.ID) components.State {
	off := slices.Clone(st.Off)
	chosen := make(map[components.ID]bool, len(on))
	for _, id := range on {
		chosen[id] = true
	}
	for _, p := range doc.Parts() {
		if (p.Kind == &components.ACLoad || p.Kind == &components.Charger) && !chosen[p.ID] {
			off = append(off, p.ID)
		}
	}
	if len(st.On) > 0 {
		st.On = append(slices.Clone(st.On), on...)
	}
	st.Off = off
	return st
}

func nameOf(p components.Part) string {
	if p.Name != "" {
		return p.Name
	}
	return string(p.ID)
}

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
		w := want{Load: Load{ID: p.ID, Name: nameOf(p)}}
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
	if len(can) <= mostEnumerated {
		return covering(every(base, wants, can, lines), can)
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
		ok[s] = within(sum, lines)
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

// greedy begins with each load in turn and adds the largest that still fit.
func greedy(base []complex128, wants []want, can []int, lines []line) [][]int {
	tighter := slices.Clone(lines) // drops and losses come on top of what the loads are rated for
	for i := range tighter {
		tighter[i].Amps *= 0.97
	}
	var all [][]int
	seen := map[string]bool{}
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
		slices.Sort(members)
		if key := fmt.Sprint(members); !seen[key] {
			seen[key] = true
			all = append(all, members)
		}
	}
	return all
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

// choose solves every set with the supply's limit, drops the smallest load of one
// that does not hold, and says what each draws and how long the bank lasts.
func (c *Card) choose(doc *components.Document, quiet *circuit.Layout, wants []want, sets [][]int, lines []line) {
	var always []components.ID
	for _, w := range wants {
		if w.on {
			c.Always = append(c.Always, w.Load)
			always = append(always, w.ID)
		}
	}
	set := c.settings(quiet, wants, sets, always, lines)
	charging, err := limited(doc, set)
	if err != nil {
		c.Failure = err.Error()
		return
	}
	laid := circuit.Lay(charging)
	try := func(members []int) (*solved.State, string, bool) {
		on := slices.Clone(always)
		for _, i := range members {
			on = append(on, wants[i].ID)
		}
		s := solved.One(laid, switched(charging, c.State, on))
		why, ok := c.fits(s, lines)
		return s, why, ok
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
	for _, members := range sets {
		for len(members) > 0 {
			s, why, ok := try(members)
			if ok {
				key := fmt.Sprint(members)
				if !seen[key] {
					seen[key] = true
					c.Choices = append(c.Choices, c.choice(s, members, wants, lines))
				}
				if len(members) == big {
					c.All = true
				}
				break
			}
			if len(members) == 1 {
				l := wants[members[0]].Load
				l.Why = why
				c.TooBig = append(c.TooBig, l)
			}
			members = fewer(members, wants, s, lines)
		}
	}
	c.All = c.All || big == 0
	c.largest()
	c.TooBig = unlessChosen(c.TooBig, c.Choices)
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
		over := drawn(s, l.source) - l.Amps*hair
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
func (c *Card) settings(quiet *circuit.Layout, wants []want, sets [][]int, always []components.ID, lines []line) map[components.ID]float64 {
	limit := map[components.ID]float64{}
	if c.Kind == OffGrid {
		return limit
	}
	ahead := map[components.ID]float64{}
	hot := map[components.ID]line{}
	for _, members := range append([][]int{nil}, sets...) {
		on := slices.Clone(always)
		for _, i := range members {
			on = append(on, wants[i].ID)
		}
		s := solved.One(quiet, switched(quiet.Doc, c.State, on))
		if s.Solution.Failure != nil {
			continue
		}
		for i, l := range s.Circuit.Links {
			p, _ := quiet.Doc.Part(l.Part)
			if p.Kind != &components.InverterCharger || l.Join.When != components.Passing || !l.Closed || l.Join.BPort != "ac-out" || l.Join.APole != components.L && l.Join.APole != components.L1 {
				continue
			}
			amps, ok := s.Solution.Amps(i)
			if !ok {
				continue
			}
			for _, ln := range lines {
				if s.Circuit.Net(ln.source.Hot) != s.Circuit.Net(l.A) {
					continue
				}
				before, seen := ahead[p.ID]
				if rest := max(0, drawn(s, ln.source)-amps); !seen || rest > before {
					ahead[p.ID], hot[p.ID] = rest, ln
				}
			}
		}
	}
	var found []components.ID
	for id := range ahead {
		found = append(found, id)
	}
	slices.SortFunc(found, components.CompareIDs)
	for _, id := range found {
		ln := hot[id]
		p, _ := quiet.Doc.Part(id)
		free := math.Floor(ln.Amps - ahead[id])
		why := ln.Why
		if ahead[id] > 0.5 {
			why += fmt.Sprintf(", less %.1f A that others draw on the same hot", ahead[id])
		}
		if relay := p.Figure("relay_a"); relay.Known() && free > relay.Value {
			free, why = relay.Value, fmt.Sprintf("its own relay of %v A", relay.Value)
		}
		if free < 1 {
			c.Set = append(c.Set, Setting{id, "charging", "off", why + ": nothing is left to charge with"})
			limit[id] = 0
			continue
		}
		limit[id] = free
		c.Set = append(c.Set, Setting{id, "input current limit", fmt.Sprintf("%.0f A", free), why + ". Some devices want it in total and not per leg"})
	}
	return limit
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
	ch.Left = math.Inf(1)
	for _, l := range lines {
		a := drawn(s, l.source)
		ch.Amps = append(ch.Amps, a)
		ch.Left = min(ch.Left, max(0, l.Amps-a))
	}
	ch.Volts = math.Inf(1)
	if math.IsInf(ch.Left, 1) {
		ch.Left = 0
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

// lasts is how long full house banks last at a solved state's current, to the
// usable depth of their chemistry; the first of several to be empty decides.
func lasts(s *solved.State) (hours float64, says string) {
	var given []string
	first := ""
	for _, p := range s.Circuit.Doc.Parts() {
		f, ok := s.Solution.Flows[p.ID]
		if !ok || p.Kind != &components.Battery || p.Word("role") == "starting" || f.DCAmps > -0.05 {
			continue
		}
		amps := -f.DCAmps
		chem, okC := tables.BatteryChemistry(p.Word("chemistry"))
		ah, parallel := p.Figure("capacity_ah"), p.Figure("parallel")
		if !okC || !ah.Known() || !parallel.Known() {
			return 0, fmt.Sprintf("%s gives %.0f A; how long it lasts is not known: its chemistry or capacity is missing", p.ID, amps)
		}
		total := ah.Value * parallel.Value
		if amps < total/100 { // at rest, but for what a charger leaves out
			continue
		}
		h := total / amps
		if chem.ID != "lfp" && amps > total/20 { // lead-acid gives less at a high rate
			h = 20 * math.Pow(total/(amps*20), chem.Peukert)
		}
		given = append(given, fmt.Sprintf("%s %.0f A", p.ID, amps))
		if h *= chem.UsableDoD.Value; first == "" || h < hours {
			hours, first = h, fmt.Sprintf("%.1f h from full to %.0f %%", h, 100*(1-chem.UsableDoD.Value))
		}
	}
	if first == "" {
		return 0, ""
	}
	return hours, "bank: " + strings.Join(given, ", ") + "; " + first
}

// charge tells what the banks take while only the small loads run.
func (c *Card) charge(s *solved.State) {
	for _, p := range s.Circuit.Doc.Parts() {
		f, ok := s.Solution.Flows[p.ID]
		if !ok || p.Kind != &components.Battery || f.DCAmps < 0.05 {
			continue
		}
		text := fmt.Sprintf("%s takes %.0f A while only the small loads run", p.ID, f.DCAmps)
		if ah := p.Figure("capacity_ah"); ah.Known() {
			text += fmt.Sprintf(": %.1f h from empty at that rate", ah.Value*p.Figure("parallel").Value/f.DCAmps)
		}
		c.Charge = append(c.Charge, text)
	}
}

// banks notes the figures that the bank's part of a card lacks.
func (c *Card) banks(doc *components.Document) {
	if c.Kind != OffGrid {
		return
	}
	for _, p := range doc.Parts() {
		if p.Gone() || p.Kind != &components.Battery || p.Word("role") == "starting" {
			continue
		}
		if !p.Figure("discharge_a").Known() {
			c.unknown("the discharge limit of %s is not known: its protection may open before the inverter's limit", p.ID)
		}
	}
}

// outlets lists the outlets that are alive on this supply.
func (c *Card) outlets(s *solved.State) {
	for _, p := range s.Circuit.Doc.Parts() {
		if p.Gone() || p.Kind != &components.Receptacle {
			continue
		}
		if t, ok := s.Circuit.At(p.ID, "in", components.L); ok && s.Circuit.Live(t) {
			c.Outlets = append(c.Outlets, Load{ID: p.ID, Name: nameOf(p)})
		}
	}
}

// motors says which loads start with more than they run on.
func (c *Card) motors(doc *components.Document, wants []want) {
	for _, w := range wants {
		p, _ := doc.Part(w.ID)
		start := p.Figure("start_va")
		if !start.Known() || start.Value <= w.VA {
			continue
		}
		text := fmt.Sprintf("%s starts with %.0f VA: start it alone, before the rest", w.Name, start.Value)
		for _, l := range c.Limits {
			id, _, _ := strings.Cut(l.Hot, " ")
			src, _ := doc.Part(components.ID(id))
			if surge := src.Figure("surge_va"); surge.Known() && start.Value > surge.Value {
				text += fmt.Sprintf("; %s gives at most %.0f VA, so it may not start", id, surge.Value)
				break
			}
		}
		c.Starts = append(c.Starts, text)
	}
}
