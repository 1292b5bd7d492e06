package rules

import (
	"context"
	"fmt"
	"slices"
	"sync"

	"rigline/components"
	"rigline/rules/circuit"
	"rigline/rules/energy"
	"rigline/rules/solve"
)

// Pass is what a rule sees: the document, and the circuit and solution of one
// operating state.
type Pass struct {
	Doc     *components.Document
	State   components.State
	Circuit *circuit.Circuit

	solution *solve.Solution
	all      []*Pass // every state, in order
	seen     []*Pass // the same, as this one sees them
	number   int     // of the state, from 0
	leads    bool    // the first state in which the relays of the DC side stand as they do
	rule     *Rule
	found    []Finding
	kept     *sync.Map // of Once; nil for a pass of one question, outside a check
	reads    *components.Reads
	quiet    []hush // by rule of the book
}

// hush tells of a rule that had nothing to say, and which fields it had read for that.
type hush struct {
	quiet bool
	read  components.FieldSet
}

// Over is a pass of one question about a solved circuit, outside a check.
func Over(c *circuit.Circuit, s *solve.Solution) *Pass {
	return &Pass{Doc: c.Doc, State: c.State, Circuit: c, solution: s, leads: true}
}

func newPass(laid *circuit.Layout, number int, s components.State, book []*Rule) *Pass {
	c := laid.In(s)
	return &Pass{Doc: laid.Doc, State: s, Circuit: c, solution: solve.Solve(c), number: number, quiet: make([]hush, len(book))}
}

// follow takes over from the same state of the document before which rules had nothing
// to say there, as far as they read nothing that has changed since.
func (p *Pass) follow(before asked, changed components.FieldSet) {
	if p.leads != before.leads || !p.Circuit.SettledAs(before.circuit) {
		return
	}
	for i, was := range before.quiet {
		if was.quiet && !was.read.Meets(changed) {
			p.quiet[i] = was
		}
	}
}

// over is the pass over its document, watched: what rules read of it is noted, and what
// they read of every other state.
func (p *Pass) over(watched *components.Document) *Pass {
	q := *p
	q.Doc, q.Circuit, q.reads, q.kept = watched, p.Circuit.Over(watched), watched.Reads(), &sync.Map{}
	return &q
}

// run runs the rules of the book that ask nothing of a state, or the others, and gives
// what they find. A rule that had nothing to say is not asked again before something
// that it read has changed.
func (p *Pass) run(ctx context.Context, book []*Rule, stateless bool) []Finding {
	for i, r := range book {
		if ctx.Err() != nil {
			return nil
		}
		if r.Set != "" && r.Set != p.Doc.Basis || r.Stateless != stateless || p.quiet[i].quiet {
			continue
		}
		before := len(p.found)
		p.rule = r
		p.reads.Begin()
		r.Check(p)
		p.quiet[i] = hush{len(p.found) == before, p.reads.Fields()}
	}
	return p.found
}

// Solution is the state's, solved.
func (p *Pass) Solution() *solve.Solution {
	p.reads.Add(solve.Fields)
	return p.solution
}

// Faults are the state's short circuits.
type Faults interface {
	HighestFault(a, b circuit.Term) (solve.Prospective, bool)
	LowestFault(a, b circuit.Term) (solve.Prospective, bool)
	LowestFaultFrom(source components.ID, a, b circuit.Term) (solve.Prospective, bool)
	FaultThrough(link int, a, b circuit.Term) (solve.Prospective, bool)
}

// Faults are the state's prospective currents.
func (p *Pass) Faults() Faults {
	p.reads.Add(solve.FaultFields)
	return p.solution
}

// Demand is what the DC side is asked for with everything on.
func (p *Pass) Demand() solve.Demand {
	p.reads.Add(solve.DemandFields)
	return p.solution.FullDemand()
}

// Assumed tells which figure of a run or a part the solution had to do without.
func (p *Pass) Assumed(id components.ID) (missing string, ok bool) {
	if q, found := p.Doc.Part(id); found {
		p.reads.Add(components.FieldsOf(q.Kind))
	} else {
		p.reads.Add(components.FieldsOfRuns())
	}
	missing, ok = p.solution.Assumed[id]
	return missing, ok
}

// AssumedRuns are the runs whose impedance the solution had to do without, in tag order.
func (p *Pass) AssumedRuns() []components.ID {
	p.reads.Add(components.FieldsOfRuns())
	var runs []components.ID
	for id := range p.solution.Assumed {
		if _, ok := p.Doc.Run(id); ok {
			runs = append(runs, id)
		}
	}
	slices.SortFunc(runs, components.CompareIDs)
	return runs
}

// All are the passes of every state, in order.
func (p *Pass) All() []*Pass {
	if p.seen == nil {
		p.seen = make([]*Pass, len(p.all))
		for i, s := range p.all {
			q := p
			if i != p.number {
				q = s.over(p.Doc)
			}
			q.seen, p.seen[i] = p.seen, q
		}
	}
	for _, s := range p.seen {
		p.reads.Add(s.Circuit.SettledOn())
	}
	return p.seen
}

// Day is the plan of a day off grid, read off every state's circuit.
func (p *Pass) Day() *energy.Plan {
	type day struct{}
	return Once(p, day{}, func() *energy.Plan {
		var all []*circuit.Circuit
		for _, s := range p.All() {
			all = append(all, s.Circuit)
		}
		return energy.Survey(p.Doc, all)
	})
}

// First tells whether this is the first state in which the relays of the DC side stand as
// they do, for the part of a rule that needs no state. In most rigs it is the first of all.
func (p *Pass) First() bool { return p.leads }

// Feeds tells, by link of the circuit, what stands ahead of it from each source.
func (p *Pass) Feeds() [][]circuit.Feed { return p.Circuit.FeedsOf() }

// Once works out what several rules ask of a state, the first time that one asks.
// The key's type is the asker's own, so that no two mean the same key.
func Once[K comparable, V any](p *Pass, key K, work func() V) V {
	return circuit.Once(p.reads, p.kept, key, work)
}

// Report tells a finding at the rule's level, or at the finding's own.
func (p *Pass) Report(f Finding) {
	f.Rule = p.rule
	if f.Level == 0 {
		f.Level = p.rule.Level
	}
	f.States = []string{p.State.Name}
	p.found = append(p.found, f)
}

// Unchecked tells that a figure is missing, and which.
func (p *Pass) Unchecked(at, missing string, also ...string) {
	p.Report(Finding{At: at, Also: also, Message: missing, Unchecked: true})
}

func plural(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}
