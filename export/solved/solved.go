// Package solved holds a document with the solution of every operating state,
// worked out once for all the lists, cards and checks of a hand-off.
package solved

import (
	"math/cmplx"
	"sync"

	"rigline/components"
	"rigline/rules/circuit"
	"rigline/rules/solve"
)

// State is one solved state.
type State struct {
	components.State
	Circuit  *circuit.Circuit
	Solution *solve.Solution
	links    map[components.ID][]int // of a run
	feeds    func() [][]circuit.Feed
	peaks    func() map[components.ID]solve.Peak
}

// Rig is a document with its states, in the order of Document.Operating.
type Rig struct {
	Doc    *components.Document
	Layout *circuit.Layout // for whoever solves further states
	States []*State
}

// Of solves every state of a document. A rig without states is solved once, as
// drawn.
func Of(doc *components.Document) *Rig {
	states := doc.Operating()
	if len(states) == 0 {
		states = []components.State{{Name: "As drawn", SoC: 0.5}}
	}
	laid := circuit.Lay(doc)
	return &Rig{Doc: doc, Layout: laid, States: Each(laid, states)}
}

// Solutions are those of the states, in their order.
func (r *Rig) Solutions() []*solve.Solution {
	all := make([]*solve.Solution, len(r.States))
	for i, s := range r.States {
		all[i] = s.Solution
	}
	return all
}

// Each solves some states, on as many processors as there are, in their order.
func Each(laid *circuit.Layout, states []components.State) []*State {
	all := make([]*State, len(states))
	solve.InParallel(len(states), func(i int) { all[i] = One(laid, states[i]) })
	return all
}

// One solves one state of a document that is laid out.
func One(laid *circuit.Layout, st components.State) *State {
	c := laid.In(st)
	s := &State{State: st, Circuit: c, Solution: solve.Solve(c), links: map[components.ID][]int{}, feeds: sync.OnceValue(c.FeedsOf)}
	s.peaks = sync.OnceValue(s.Solution.Peaks)
	for i, l := range c.Links {
		if l.Run != "" {
			s.links[l.Run] = append(s.links[l.Run], i)
		}
	}
	return s
}

// Solved tells whether the state has a solution.
func (s *State) Solved() bool { return s.Solution.Failure == nil }

// Feeds tells, by link, what stands ahead of it from each source.
func (s *State) Feeds() [][]circuit.Feed { return s.feeds() }

// Links are the links of a run's cores, in the order of the cores.
func (s *State) Links(run components.ID) []int { return s.links[run] }

// Amps is the largest current of a run's cores in a state, in amperes; ok is false
// where nothing is solved. A ground core beside others is left out: what flows in it
// is a fault. A run of nothing but ground tells what flows in that.
func (s *State) Amps(run components.ID) (most float64, ok bool) {
	p, ok := s.peaks()[run]
	return p.Amps, ok
}

// Drawn is the current that leaves a terminal along all runs and contacts at it, in
// amperes: at a source's hot, what it gives.
func (s *State) Drawn(t circuit.Term) float64 {
	var sum complex128
	for _, i := range s.Circuit.LinksAt(t) {
		amps, ok := s.Solution.Current(int(i))
		if !ok {
			continue
		}
		if s.Circuit.Links[i].A != t {
			amps = -amps
		}
		sum += amps
	}
	return cmplx.Abs(sum)
}

// Peaks are the largest current and the voltage of every run.
func (s *State) Peaks() map[components.ID]solve.Peak { return s.peaks() }

// GroundAlone tells whether a run has no core but ground.
func (s *State) GroundAlone(run components.ID) bool {
	for _, i := range s.links[run] {
		if s.Circuit.Links[i].Core.From != components.G {
			return false
		}
	}
	return true
}

// Find is the state of a name.
func (r *Rig) Find(name string) (*State, bool) {
	for _, s := range r.States {
		if s.Name == name {
			return s, true
		}
	}
	return nil, false
}
