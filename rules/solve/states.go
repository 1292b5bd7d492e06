package solve

import (
	"runtime"
	"sync"

	"rigline/components"
	"rigline/rules/circuit"
)

// States solves a document in every one of the states, on as many processors as
// there are, in their order.
func States(laid *circuit.Layout, states []components.State) []*Solution {
	all := make([]*Solution, len(states))
	InParallel(len(states), func(i int) { all[i] = Solve(laid.In(states[i])) })
	return all
}

// StatesAndFaults does the same, and finds the prospective current at every port.
func StatesAndFaults(laid *circuit.Layout, states []components.State) ([]*Solution, []map[components.PortRef]map[string]FaultRange) {
	all := make([]*Solution, len(states))
	faults := make([]map[components.PortRef]map[string]FaultRange, len(states))
	InParallel(len(states), func(i int) {
		all[i] = Solve(laid.In(states[i]))
		faults[i] = all[i].Faults()
	})
	return all, faults
}

// InParallel does n things on as many processors as there are. What fails fails
// here, as it would alone.
func InParallel(n int, do func(int)) {
	var wait sync.WaitGroup
	var broke any
	var once sync.Once
	next := make(chan int, n)
	for i := range n {
		next <- i
	}
	close(next)
	for range min(n, runtime.GOMAXPROCS(0)) {
		wait.Go(func() {
			defer func() {
				if r := recover(); r != nil {
					once.Do(func() { broke = r })
				}
			}()
			for i := range next {
				do(i)
			}
		})
	}
	wait.Wait()
	if broke != nil {
		panic(broke)
	}
}
