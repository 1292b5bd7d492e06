// Package sizing finds the smallest conductors and devices that satisfy a rule
// book in every operating state. It asks the rules themselves: a size serves when
// no finding names its run that a larger size would clear.
package sizing

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"rigline/components"
	"rigline/components/units"
	"rigline/rules"
	"rigline/rules/circuit"
	"rigline/rules/solve"
	"rigline/rules/tables"
)

// Tables names the ampacity tables that the rules look a project's sizes up in.
func Tables(doc *components.Document) string {
	dc := "DC boat and battery cable by 33 CFR 183 Table 5, in free air"
	if doc.Ampacity == components.Enclosed {
		dc += ", or by NEC Table 310.16 as in a raceway where that is less (chosen for this project)"
	}
	ac := "AC and building wire by NEC Table 310.16 (60, 75 and 90 °C columns, with the terminals' limit); flexible cord by NEC Table 400.5(A)(1)"
	metric := "metric cable by IEC 60364-5-52 Table B.52.2"
	if doc.Basis == "iec-caravan" {
		return "Ampacity: " + metric + "; " + dc + "; cable of American sizes: " + ac + "."
	}
	return "Ampacity: " + ac + "; " + dc + "; " + metric + "."
}

// Choice is the size found for one run, or the rating found for one device.
type Choice struct {
	On   components.ID
	Key  string // the field it is told in: size, rating_a
	From string // as drawn, "not told" where it is not
	To   string // "" where none serves
	// Decided is the rule that the next smaller one breaks, and Says what it
	// tells; nil where the smallest made already serves.
	Decided *rules.Rule
	Says    string
	// Beside is the run whose size it takes, where no rule asks for more than the smallest
	// that is laid: the one on the other side of a fuse, or that comes back beside it.
	Beside components.ID
	// Undecided tells that no rule bounds it from below while what it carries is not
	// known: it stays as drawn.
	Undecided bool
	// Open are the findings that name it and that no size clears, and Waiting the
	// figures that are missing to hold it to a rule.
	Open, Waiting []string
}

// Changed tells whether the choice differs from the drawing.
func (c Choice) Changed() bool { return c.To != "" && c.To != c.From }

// Edit tells the choice in the document.
func (c Choice) Edit() components.Edit {
	if c.Key == "size" {
		return components.Set{On: c.On, Key: c.Key, Value: components.Str(c.To)}
	}
	var amps float64
	_, _ = fmt.Sscanf(c.To, "%g A", &amps)
	return components.Set{On: c.On, Key: c.Key, Value: components.Num(amps)}
}

// mostPasses bounds how often the whole rig is gone through: a run's size moves
// the drop of the runs beyond it.
const mostPasses = 4

// Size sizes what is asked for, or, where nothing is, every device and every run
// that is not existing or to be removed. It gives back the choices, devices first
// and then runs in tag order, and the document with all of them told. An unknown
// address is an error.
func Size(ctx context.Context, doc *components.Document, book []*rules.Rule, only ...components.ID) ([]Choice, *components.Document, error) {
	asked, err := targets(doc, only)
	if err != nil {
		return nil, nil, err
	}
	s := &sizer{ctx: ctx, book: book}
	found := map[components.ID]Choice{}
	for pass := 0; pass < mostPasses; pass++ {
		moved := false
		for _, group := range together(doc, asked) {
			c, next, err := s.one(doc, group)
			if err != nil {
				return nil, nil, err
			}
			for _, id := range group {
				c.On, c.From = id, current(doc, id, c.Key)
				if c.Undecided { // as drawn
					if c.To = c.From; c.To == notTold {
						c.To = ""
					}
				}
				if first, ok := found[id]; ok {
					c.From = first.From
				}
				found[id] = c
			}
			moved, doc = moved || next != doc, next
		}
		if !moved {
			break
		}
	}
	all := make([]Choice, len(asked))
	for i, id := range asked {
		all[i] = found[id]
	}
	return all, doc, nil
}

// targets are the devices and then the runs to size.
func targets(doc *components.Document, only []components.ID) ([]components.ID, error) {
	wanted := func(id components.ID, gone bool, status components.Status) bool {
		if len(only) > 0 {
			return slices.Contains(only, id)
		}
		return !gone && status != components.Existing
	}
	var all []components.ID
	for _, p := range doc.Parts() {
		if p.Kind.Role == components.Protects && wanted(p.ID, p.Gone(), p.Status) {
			all = append(all, p.ID)
		}
	}
	for _, r := range doc.Runs() {
		if wanted(r.ID, r.Gone(), r.Status) {
			all = append(all, r.ID)
		}
	}
	for _, id := range only {
		if !slices.Contains(all, id) {
			return nil, fmt.Errorf("%s is no run and no device of its own: want the tag of a run, a fuse or a breaker", id)
		}
	}
	return all, nil
}

type sizer struct {
	ctx  context.Context
	book []*rules.Rule
}

// candidate is one value of the field, smallest first.
type candidate struct {
	text  string
	value components.Value
}

// one finds the value that all of a group get.
func (s *sizer) one(doc *components.Document, group []components.ID) (Choice, *components.Document, error) {
	id := group[0]
	key, from, all := candidates(doc, id)
	c := Choice{On: id, Key: key, From: from}
	if len(all) == 0 {
		return c, doc, nil
	}
	reports := make([]*rules.Report, len(all))
	docs := make([]*components.Document, len(all))
	try := func(i int) (*rules.Report, error) {
		if reports[i] != nil {
			return reports[i], nil
		}
		edits := make([]components.Edit, len(group))
		for k, id := range group {
			edits[k] = components.Set{On: id, Key: key, Value: all[i].value}
		}
		next, err := doc.Apply(edits...)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", id, err)
		}
		r, err := rules.Check(s.ctx, next, s.book)
		reports[i], docs[i] = r, next
		return r, err
	}
	var best int
	var err error
	if key == "size" {
		drawn := slices.IndexFunc(all, func(x candidate) bool { return x.text == current(doc, id, key) })
		best, err = smallest(len(all), drawn, group, try)
	} else {
		best, err = fewest(len(all), try)
	}
	if err != nil {
		return c, doc, err
	}
	at := reports[best]
	if best > 0 {
		below, err := try(best - 1)
		if err != nil {
			return c, doc, err
		}
		worse := raised(at, below)
		if key == "size" {
			worse = raisedAt(at, below, group)
		}
		for _, f := range append(worse, raisedUnchecked(at, below, group)...) {
			c.Decided, c.Says = f.Rule, f.Message
			break
		}
	}
	if loads := notCounted(at); len(loads) > 0 && !byDevice(c) && (best == 0 || uncounted(doc, group)) {
		// What it carries is not all known: the smallest that serves for the rest, or
		// that no rule speaks against, decides nothing.
		return Choice{On: id, Key: key, From: from, Undecided: true, Waiting: loads}, doc, nil
	}
	if least := c.Decided == nil || c.Decided.ID == "conductor.minimum-gauge"; least && key == "size" {
		if o, size := beside(doc, group); o != "" {
			if i := slices.IndexFunc(all, func(x candidate) bool { return x.text == size }); i > best {
				if at, err = try(i); err != nil {
					return c, doc, err
				}
				best, c.Beside, c.Decided, c.Says = i, o, nil, ""
			}
		}
	}
	c.To = all[best].text
	for _, f := range naming(at, group) {
		c.Open = append(c.Open, fmt.Sprintf("%s: %s", f.Rule.ID, f.Message))
	}
	for _, f := range at.Unchecked {
		if names(f, group) && !slices.Contains(c.Waiting, f.Message) {
			c.Waiting = append(c.Waiting, f.Message)
		}
	}
	if !slices.ContainsFunc(group, func(id components.ID) bool { return c.To != current(doc, id, key) }) {
		return c, doc, nil
	}
	return c, docs[best], nil
}

// carries is the rule that says which loads and sources are not counted, because
// nobody has told their currents.
const carries = "conductor.load-within-ampacity"

// notCounted are the words for the loads and sources whose current nobody has told.
func notCounted(r *rules.Report) (all []string) {
	for _, f := range r.Unchecked {
		if f.Rule.ID == carries && !slices.Contains(all, f.Message) {
			if _, isRun := r.Doc.Run(owner(f.At)); !isRun {
				all = append(all, f.Message)
			}
		}
	}
	return all
}

// byDevice tells whether a conductor's size follows from a device that protects it, and
// not from the current that it carries. A device's own never does.
func byDevice(c Choice) bool {
	if c.Decided == nil || c.Key != "size" {
		return false
	}
	switch c.Decided.ID {
	case "conductor.ampacity-covers-overcurrent", "conductor.small-wire-cap", "overcurrent.rating-within-ampacity":
		return true
	}
	return false
}

// uncounted tells whether a current that nobody has told would flow through a run or a
// device of a group.
func uncounted(doc *components.Document, group []components.ID) bool {
	states := doc.Operating()
	if len(states) == 0 {
		return false
	}
	c := circuit.Lay(doc).In(states[0])
	open := solve.Solve(c).FullDemand().Open
	for i, l := range c.Links {
		if open != nil && open[i] && (slices.Contains(group, l.Run) || l.Run == "" && slices.Contains(group, l.Part)) {
			return true
		}
	}
	return false
}

// smallest is the smallest conductor at which no finding of its own stands that the
// largest clears: a thick cable loses so little that a breaker elsewhere may just bear its
// loads, and is not bought for that. Larger conductors break no rule that smaller ones keep, apart from what
// fits a terminal, which stands at the largest too. The largest is the largest that
// the tables reach: of one beyond them the rules know nothing, and so say nothing.
func smallest(n, drawn int, group []components.ID, try func(int) (*rules.Report, error)) (int, error) {
	high := n - 1 // serves
	top, err := try(high)
	if err != nil {
		return 0, err
	}
	for high > 0 {
		below, err := try(high - 1)
		if err != nil {
			return 0, err
		}
		if len(raisedUnchecked(below, top, group)) == 0 {
			break
		}
		high, top = high-1, below
	}
	low, guess := 0, drawn
	for low < high {
		mid := (low + high) / 2
		if guess >= low && guess < high { // what is drawn, and then the next smaller, tell most
			mid = guess
		}
		r, err := try(mid)
		if err != nil {
			return 0, err
		}
		if len(raisedAt(top, r, group)) == 0 && len(raisedUnchecked(top, r, group)) == 0 {
			if high = mid; mid == drawn {
				guess = mid - 1
			}
		} else {
			low = mid + 1
		}
	}
	return high, nil
}

// fewest is the smallest rating with the fewest findings, the worst weighing
// most: a device may be too small as well as too large.
func fewest(n int, try func(int) (*rules.Report, error)) (int, error) {
	best, least := 0, -1
	for i := range n {
		r, err := try(i)
		if err != nil {
			return 0, err
		}
		weight := 0
		for _, f := range r.All() {
			if f.Accepted != nil {
				continue
			}
			weight += map[rules.Level]int{rules.Danger: 10000, rules.Violation: 100, rules.Advice: 1}[f.Level]
		}
		if least < 0 || weight < least {
			best, least = i, weight
		}
	}
	return best, nil
}

// raised are the open findings of one report that another does not have.
func raised(before, after *rules.Report) []rules.Finding {
	var all []rules.Finding
	for _, f := range after.All() {
		if f.Accepted == nil && !has(before, f) {
			all = append(all, f)
		}
	}
	return all
}

// raisedAt are those of them that a thicker conductor is bought for: they name it, or
// speak of the voltage that is lost on a way of which it may be a part.
func raisedAt(before, after *rules.Report, group []components.ID) []rules.Finding {
	return slices.DeleteFunc(raised(before, after), func(f rules.Finding) bool {
		return !names(f, group) && !strings.Contains(f.Rule.ID, "voltage-drop")
	})
}

// raisedUnchecked are the checks of a group that one report could make and another
// could not.
func raisedUnchecked(before, after *rules.Report, group []components.ID) []rules.Finding {
	var all []rules.Finding
	for _, f := range after.Unchecked {
		if names(f, group) && !slices.ContainsFunc(before.Unchecked, func(g rules.Finding) bool { return g.Rule == f.Rule && g.At == f.At }) {
			all = append(all, f)
		}
	}
	return all
}

func names(f rules.Finding, group []components.ID) bool {
	return slices.ContainsFunc(f.Addresses(), func(a string) bool { return slices.Contains(group, owner(a)) })
}

// naming are the open findings that name a run or device of a group.
func naming(r *rules.Report, group []components.ID) []rules.Finding {
	var all []rules.Finding
	for _, f := range r.All() {
		if f.Accepted == nil && names(f, group) {
			all = append(all, f)
		}
	}
	return all
}

func has(r *rules.Report, f rules.Finding) bool {
	return slices.ContainsFunc(r.All(), func(g rules.Finding) bool {
		return g.Rule == f.Rule && g.At == f.At && g.Level >= f.Level && slices.Equal(g.Also, f.Also)
	})
}

// owner is the run or part of an address.
func owner(address string) components.ID {
	head, _, _ := strings.Cut(address, ".")
	return components.ID(head)
}

const notTold = "not told"

// current is the value as drawn, in the form of a candidate.
func current(doc *components.Document, id components.ID, key string) string {
	if r, ok := doc.Run(id); ok {
		if size, ok := r.Size(""); ok {
			return size.String()
		}
		return notTold
	}
	p, _ := doc.Part(id)
	if f := p.Figure(key); f.Known() {
		return fmt.Sprintf("%g A", f.Value)
	}
	return notTold
}

// candidates are the sizes of a run that are sold, or the ratings that a device's
// family is made in.
func candidates(doc *components.Document, id components.ID) (key, from string, all []candidate) {
	if r, ok := doc.Run(id); ok {
		metric := doc.Units == "metric"
		if size, ok := r.Size(""); ok {
			metric = size.Metric()
		}
		sizes := units.AWGSizes()
		if metric {
			sizes = units.MetricSizes()
		}
		for _, s := range sizes {
			if metric || s.Stocked() {
				all = append(all, candidate{s.String(), components.Str(s.String())})
			}
		}
		slices.SortFunc(all, func(a, b candidate) int {
			x, _ := units.ParseSize(a.text)
			y, _ := units.ParseSize(b.text)
			return int(x.Cmil() - y.Cmil())
		})
		return "size", current(doc, id, "size"), all
	}
	p, _ := doc.Part(id)
	f, ok := tables.FuseFamily(p.Word("family"))
	ratings := f.Ratings
	if !ok {
		ratings = breakers()
	}
	for _, a := range ratings {
		if _, err := doc.Apply(components.Set{On: id, Key: "rating_a", Value: components.Num(a)}); err != nil {
			continue // beyond what the kind is made for
		}
		all = append(all, candidate{fmt.Sprintf("%g A", a), components.Num(a)})
	}
	return "rating_a", current(doc, id, "rating_a"), all
}

// largestBreaker is the largest of the breakers that a rig of 50 A legs or a bank
// of its size has a use for, in A.
const largestBreaker = 400

// breakers are the standard ratings of breakers, smallest first.
func breakers() []float64 {
	var all []float64
	for a, ok := tables.StandardAtLeast(1, false); ok && a <= largestBreaker; a, ok = tables.StandardAtLeast(a+0.5, false) {
		all = append(all, a)
	}
	return all
}
