package rules

import (
	"context"
	"fmt"
	"sync"

	"rigline/components"
	"rigline/rules/circuit"
	"rigline/rules/energy"
	"rigline/rules/solve"
)

// Pass is what a rule sees: the document, and the circuit and solution of one
// operating state.
type Pass struct {
	Doc      *components.Document
	State    components.State
	Circuit  *circuit.Circuit
	Solution *solve.Solution
	All      []*Pass // every state, in order

	number int // of the state, from 0
	rule   *Rule
	found  []Finding
	day    func() *energy.Plan
	kept   *sync.Map // of Once; nil for a pass of one question, outside a check
}

func newPass(laid *circuit.Layout, number int, s components.State) *Pass {
	c := laid.In(s)
	p := &Pass{Doc: laid.Doc, State: s, Circuit: c, Solution: solve.Solve(c), number: number, kept: &sync.Map{}}
	p.day = sync.OnceValue(func() *energy.Plan {
		var all []*circuit.Circuit
		for _, q := range p.All {
			all = append(all, q.Circuit)
		}
		return energy.Survey(p.Doc, all)
	})
	return p
}

// run runs some rules and gives what they find. Other rules may run over the same
// state meanwhile.
func (p *Pass) run(ctx context.Context, book []*Rule) []Finding {
	q := *p
	for _, r := range book {
		if ctx.Err() != nil {
			return nil
		}
		if r.Set != "" && r.Set != p.Doc.Basis || r.Wiring && p.quiet(r) {
			continue
		}
		q.rule = r
		r.Check(&q)
	}
	return q.found
}

// wiringKey asks for what rules said of the wiring: in the first state, or in another.
type wiringKey struct{ number int }

// wiring is a circuit of which nothing is told but how it is wired, with what rules
// found there.
type wiring struct {
	bare  *circuit.Circuit
	kept  sync.Map // of Once
	quiet sync.Map // by rule, whether it had nothing to say
}

// quiet tells whether a rule that asks for the wiring alone has nothing to say of it.
// It is asked once for all documents that are wired alike, and sees nothing in which
// they may differ; where it speaks it is run again on the document at hand.
func (p *Pass) quiet(r *Rule) bool {
	w := circuit.WhileSet(p.Circuit, wiringKey{min(p.number, 1)}, func() *wiring { return &wiring{bare: p.Circuit.Bare()} })
	if quiet, asked := w.quiet.Load(r); asked {
		return quiet.(bool)
	}
	q := Pass{Doc: w.bare.Doc, State: p.State, Circuit: w.bare, number: p.number, rule: r, kept: &w.kept}
	r.Check(&q)
	w.quiet.Store(r, len(q.found) == 0)
	return len(q.found) == 0
}

// Day is the plan of a day off grid, read off every state's circuit.
func (p *Pass) Day() *energy.Plan { return p.All[0].day() }

// First tells whether this is the first state, for a rule that needs no state.
func (p *Pass) First() bool { return p.number == 0 }

// Feeds tells, by link of the circuit, what stands ahead of it from each source.
func (p *Pass) Feeds() [][]circuit.Feed { return p.Circuit.FeedsOf() }

// Once works out what several rules ask of a state, the first time that one asks.
// The key's type is the asker's own, so that no two mean the same key.
func Once[K comparable, V any](p *Pass, key K, work func() V) V {
	return circuit.Once(p.kept, key, work)
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
