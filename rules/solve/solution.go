// Package solve turns a settled circuit into numbers: the voltage at every
// terminal and the current in every link, AC and DC together.
//
// Every core of every run is a branch of its own, with the resistance (and for
// AC the reactance) of the published tables; contacts and bonds are ideal. A run
// whose size or length is not told becomes an ideal core, and is named in
// Assumed, so that no rule takes its drop for known.
package solve

import (
	"math"
	"math/cmplx"
	"sync"

	"rigline/components"
	"rigline/rules/circuit"
	"rigline/rules/nodal"
)

// Solution is a solved circuit. Currents and voltages are rms phasors for AC and
// real for DC; a positive current flows from a link's A to its B.
type Solution struct {
	Circuit *circuit.Circuit
	Assumed map[components.ID]string // runs and parts with a figure missing, and which
	Failure *Failure                 // why there is no solution, nil where there is one
	Rounds  int                      // of the AC and DC networks together
	Worst   float64                  // Kirchhoff residual, relative to the largest current
	WorstA  float64                  // the same, in A
	Balance float64                  // power imbalance of each network, relative
	Flows   map[components.ID]Flow
	Limited map[components.ID]string // what holds a charger below its full current

	options Options
	laid    []circuit.Link // closed links as the networks were laid out
	before  *Solution      // of the document before, while this one is being solved
	coupled *coupled
	ac, dc  side
	faults  faultCache

	demandOnce sync.Once
	demand     Demand
}

// Failure is a state that has no solution, and the device that gives up first.
type Failure struct {
	Reason  string
	At      components.ID
	Numeric bool // the reckoning did not come to an end: it says nothing of the rig
}

// Flow is what a source, load or converter draws: from the AC network in
// volt-amperes, from the DC network in watts and amperes. What gives draws less
// than nothing.
type Flow struct {
	AC     complex128
	DC     float64
	DCAmps float64
}

// side is one network, AC or DC, over the circuit's terminals.
type side struct {
	net      *nodal.Network
	factored *nodal.Factored
	res      *nodal.Result
	nodes    []nodal.Node   // by terminal
	branches []nodal.Branch // by link
	drawn    []drawn        // sources and loads
	moved    float64        // by how much the other side has moved it since it was solved, relatively
}

// Current is the current of a link from A to B; ok is false where the link is
// in no solved network. A ground link in both networks gives the AC current.
func (s *Solution) Current(link int) (i complex128, ok bool) {
	for _, n := range []*side{&s.ac, &s.dc} {
		if b, found := n.branch(link); found && n.res != nil {
			return n.res.I(b), true
		}
	}
	return 0, false
}

// Amps is the rms current of a link. A ground link may carry an AC and a DC
// current; they add as squares.
func (s *Solution) Amps(link int) (float64, bool) {
	squares, ok := 0.0, false
	for _, n := range []*side{&s.ac, &s.dc} {
		if b, found := n.branch(link); found && n.res != nil {
			i := cmplx.Abs(n.res.I(b))
			squares, ok = squares+i*i, true
		}
	}
	return math.Sqrt(squares), ok
}

// Between is the voltage from one terminal to another in the network they share.
func (s *Solution) Between(a, b circuit.Term) (complex128, bool) {
	for _, n := range []*side{&s.ac, &s.dc} {
		if n.res == nil {
			continue
		}
		x, okA := n.node(a)
		y, okB := n.node(b)
		if okA && okB && !n.res.Dead(x) {
			return n.res.V(x) - n.res.V(y), true
		}
	}
	return 0, false
}
