package rules

import (
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

	rule  *Rule
	found []Finding
	feeds func() [][]circuit.Feed
	day   func() *energy.Plan
	kept  sync.Map // of Once
}

func newPass(laid *circuit.Layout, s components.State) *Pass {
	c := laid.In(s)
	p := &Pass{Doc: laid.Doc, State: s, Circuit: c, Solution: solve.Solve(c)}
	p.feeds = sync.OnceValue(c.FeedsOf)
	p.day = sync.OnceValue(func() *energy.Plan {
		var all []*circuit.Circuit
		for _, q := range p.All {
			all = append(all, q.Circuit)
		}
		return energy.Survey(p.Doc, all)
	})
	return p
}

// Day is the plan of a day off grid, read off every state's circuit.
func (p *Pass) Day() *energy.Plan { return p.All[0].day() }

// First tells whether this is the first state, for a rule that needs no state.
func (p *Pass) First() bool { return p == p.All[0] }

// Feeds tells, by link of the circuit, what stands ahead of it from each source.
func (p *Pass) Feeds() [][]circuit.Feed {
	if p.feeds == nil { // a pass of one question, outside a check
		return p.Circuit.FeedsOf()
	}
	return p.feeds()
}

// Once works out what several rules ask of a state, the first time that one asks.
// The key's type is the asker's own, so that no two mean the same key.
func Once[K comparable, V any](p *Pass, key K, work func() V) V {
	kept, ok := p.kept.Load(key)
	if !ok {
		kept, _ = p.kept.LoadOrStore(key, sync.OnceValue(work))
	}
	return kept.(func() V)()
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
