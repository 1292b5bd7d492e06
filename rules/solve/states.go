package solve

import (
	"runtime"
	"sync"
	"sync/atomic"

	"rigline/components"
	"rigline/rules/circuit"
)

// States solves a document in every one of the states, on as many processors as
// there are, in their order.
func States(doc *components.Document, states []components.State) []*Solution {
	laid := circuit.Lay(doc)
	all := make([]*Solution, len(states))
	each(len(states), func(i int) { all[i] = Solve(laid.In(states[i])) })
	return all
}

// StatesAndFaults does the same, and finds the prospective current at every port.
func StatesAndFaults(doc *components.Document, states []components.State) ([]*Solution, []map[components.PortRef]map[string]FaultRange) {
	laid := circuit.Lay(doc)
	all := make([]*Solution, len(states))
	faults := make([]map[components.PortRef]map[string]FaultRange, len(states))
	each(len(states), func(i int) {
		all[i] = Solve(laid.In(states[i]))
		faults[i] = all[i].Faults()
	})
	return all, faults
}

// each does n things in parallel.
func each(n int, do func(int)) {
	var wait sync.WaitGroup
	var next atomic.Int64
	for range min(n, runtime.GOMAXPROCS(0)) {
		wait.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(i)
			}
		})
	}
	wait.Wait()
}
