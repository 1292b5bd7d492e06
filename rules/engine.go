package rules

import (
	"cmp"
	"context"
	"slices"
	"strings"
	"sync"

	"rigline/components"
	"rigline/rules/circuit"
	"rigline/rules/solve"
)

// Check runs the rules over a document in every operating state. It stops early,
// with no report, when the context is done.
func Check(ctx context.Context, doc *components.Document, book []*Rule) (*Report, error) {
	return CheckNext(ctx, nil, doc, book)
}

// CheckNext does the same for the document that follows another by an edit, sooner
// for what the edit leaves as it was. last may be nil.
func CheckNext(ctx context.Context, last *Report, doc *components.Document, book []*Rule) (*Report, error) {
	states := doc.Operating()
	report := &Report{Doc: doc, States: states}
	var before *circuit.Layout
	if last != nil {
		before = last.laid
	}
	report.laid = circuit.LayNext(before, doc)
	if len(states) == 0 {
		states = []components.State{{Name: "As drawn", SoC: 0.5}}
	}
	passes := make([]*Pass, len(states))
	solve.InParallel(len(states), func(i int) {
		if ctx.Err() == nil {
			passes[i] = newPass(report.laid, i, states[i], book)
		}
	})
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	met := map[string]bool{}
	for _, p := range passes {
		way, _ := p.Circuit.Relays()
		p.all, p.leads = passes, !met[way]
		met[way] = true
	}
	report.follow(last, passes, book)
	found := report.ask(ctx, passes)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	all := slices.Concat(found...)
	report.sort(merge(all), book)
	report.accept(doc.Accepted)
	report.fold()
	report.rank()
	return report, nil
}

// asked is what a report remembers of a state: how it had settled, and which rules had
// nothing to say of it.
type asked struct {
	state   components.State
	circuit *circuit.Circuit
	solved  *solve.Solution
	leads   bool
	quiet   []hush // by rule of the book
}

// follow takes over from the report before what an edit has left as it was.
func (r *Report) follow(last *Report, passes []*Pass, book []*Rule) {
	r.book = book
	for _, p := range passes {
		r.asked = append(r.asked, asked{p.State, p.Circuit, p.solution, p.leads, p.quiet})
	}
	if last == nil || !slices.Equal(last.book, book) || !slices.EqualFunc(last.asked, r.asked, func(a, b asked) bool { return a.state.Name == b.state.Name && a.state.Key() == b.state.Key() }) {
		return
	}
	changed, ok := r.laid.Changed()
	if !ok {
		return
	}
	for i, p := range passes {
		p.follow(last.asked[i], changed)
	}
}

// Solved are passes over the states as they were solved, each for questions outside the
// check.
func (r *Report) Solved() []*Pass {
	all := make([]*Pass, len(r.asked))
	for i, a := range r.asked {
		all[i] = Over(a.circuit, a.solved)
	}
	return all
}

// ask runs all rules over all states, each state in a goroutine of its own: what was
// worked out for one of its rules may hold parts and runs whose reads count there. The
// rules that ask nothing of a state go apart, or the first would be the longest by far.
func (r *Report) ask(ctx context.Context, passes []*Pass) [][]Finding {
	type turn struct {
		pass      *Pass
		stateless bool
	}
	var turns []turn
	for _, p := range passes {
		if p.leads {
			turns = append(turns, turn{p, true})
		}
	}
	slices.SortStableFunc(turns, func(a, b turn) int { // what most is joined to tells the larger figures
		_, x := a.pass.Circuit.Relays()
		_, y := b.pass.Circuit.Relays()
		return cmp.Compare(y, x)
	})
	for _, p := range passes {
		turns = append(turns, turn{p, false})
	}
	found := make([][]Finding, len(turns))
	watched := sync.Pool{New: func() any { return r.Doc.Watched(&components.Reads{}) }} // one at work in each goroutine
	solve.InParallel(len(turns), func(i int) {
		doc := watched.Get().(*components.Document)
		defer watched.Put(doc)
		found[i] = turns[i].pass.over(doc).run(ctx, r.book, turns[i].stateless)
	})
	return found
}

// merge tells a finding that several states share once, as its worst state tells
// it, with the names of all of them.
func merge(all []Finding) []Finding {
	byKey := map[string]int{}
	var merged []Finding
	for _, f := range all {
		key := f.Rule.ID + "\x00" + f.At
		if !f.Rule.OnePerPlace {
			key += "\x00" + strings.Join(f.Also, "\x00")
		}
		if f.Unchecked {
			key += "\x00" + f.Message
		}
		i, ok := byKey[key]
		if !ok {
			byKey[key] = len(merged)
			merged = append(merged, f)
			continue
		}
		old := merged[i]
		states := old.States
		for _, s := range f.States {
			if !slices.Contains(states, s) {
				states = append(slices.Clone(states), s)
			}
		}
		if f.Level > old.Level {
			old = f
		}
		old.States = states
		merged[i] = old
	}
	return merged
}

// sort orders by level, then as the rule book does, then by address, and parts
// what could not be checked.
func (r *Report) sort(all []Finding, book []*Rule) {
	page := make(map[*Rule]int, len(book))
	for i, rule := range book {
		page[rule] = i
	}
	slices.SortStableFunc(all, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(b.Level, a.Level), cmp.Compare(page[a.Rule], page[b.Rule]), components.CompareIDs(components.ID(a.At), components.ID(b.At)), slices.Compare(a.Also, b.Also))
	})
	for _, f := range all {
		if f.Unchecked {
			r.Unchecked = append(r.Unchecked, f)
			continue
		}
		r.Findings = append(r.Findings, f)
	}
}

// accept marks what a person has accepted, puts it last, and lists acceptances
// that match nothing any more. A danger is accepted at its own address alone, and
// what has become worse since it was accepted stands open.
func (r *Report) accept(accepted []components.Acceptance) {
	for _, a := range accepted {
		matched := false
		for i := range r.Findings {
			f := &r.Findings[i]
			if f.Rule.ID != a.Rule || !slices.Contains(a.On, f.At) {
				continue
			}
			if f.Level == Danger && (len(a.On) != 1 || a.On[0] != f.At) || f.worseThan(a.Level) {
				continue
			}
			matched, f.Accepted = true, &a
		}
		if !matched {
			r.Stale = append(r.Stale, a)
		}
	}
	slices.SortStableFunc(r.Findings, func(a, b Finding) int {
		return cmp.Compare(b2i(a.Accepted != nil), b2i(b.Accepted != nil))
	})
}

// worseThan tells whether a finding is worse than it was when it was accepted.
func (f Finding) worseThan(level string) bool {
	for _, l := range []Level{Advice, Violation, Danger} {
		if l.String() == level {
			return f.Level > l
		}
	}
	return false
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}
