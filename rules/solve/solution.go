// Package solve turns a settled circuit into numbers: the voltage at every
// terminal and the current in every link, AC and DC together.
//
// Every core of every run is a branch of its own, with the resistance (and for
// AC the reactance) of the published tables; contacts and bonds are ideal.
// Sources and loads follow the models in models.go. The numbers of a run whose
// size or length is not told are left out of the network as an ideal core, and
// the run is named in Assumed, so that no rule takes its drop for known.
package solve

import (
	"math/cmplx"

	"rigline/components"
	"rigline/rules/circuit"
	"rigline/rules/nodal"
)

// Solution is a solved circuit. Currents and voltages are rms phasors for AC and
// real for DC; a positive current flows from a link's A to its B.
type Solution struct {
	Circuit *circuit.Circuit
	Assumed map[components.ID]bool // runs whose impedance is not known
	Figures map[components.ID]string // parts left out or estimated, and why
	Failure *Failure               // why there is no solution, nil where there is one
	Rounds  int                    // of the AC and DC networks together
	Worst   float64                // Kirchhoff residual, relative to the largest current
	Balance float64                // power imbalance, relative

	ac, dc *side
	flows  map[components.ID]Flow
}

// Failure is a state that has no solution, and the device that gives up first.
type Failure struct {
	Reason string
	At     components.ID
}

func (f *Failure) Error() string { return f.Reason }

// Flow is what a source, a load or a converter gives and takes.
type Flow struct {
	AC       complex128 // VA drawn from the AC network; negative gives
	DC       float64    // W drawn from the DC network; negative gives
	DCAmps   float64    // A into the part's positive terminal
	Limited  string     // what limits it: "input limit", "charge limit", ""
}

// side is one network, AC or DC, over the circuit's terminals.
type side struct {
	net    *nodal.Network
	res    *nodal.Result
	node   map[circuit.Term]nodal.Node
	branch map[int]nodal.Branch // by link
	links  []int                // links in the network, in order
}

// Current is the current of a link from A to B; ok is false where the link is in
// no solved network.
func (s *Solution) Current(link int) (i complex128, ok bool) {
	for _, n := range []*side{s.ac, s.dc} {
		if n == nil || n.res == nil {
			continue
		}
		if b, found := n.branch[link]; found {
			i, ok = i+n.res.I(b), true
		}
	}
	return i, ok
}

// Amps is the magnitude of a link's current. A ground link may carry both an AC
// and a DC current; their rms values add as squares.
func (s *Solution) Amps(link int) (a float64, ok bool) {
	var squares float64
	for _, n := range []*side{s.ac, s.dc} {
		if n == nil || n.res == nil {
			continue
		}
		if b, found := n.branch[link]; found {
			i := cmplx.Abs(n.res.I(b))
			squares, ok = squares+i*i, true
		}
	}
	return sqrt(squares), ok
}

// Between is the voltage from one terminal to another in the network they share.
func (s *Solution) Between(a, b circuit.Term) (v complex128, ok bool) {
	for _, n := range []*side{s.ac, s.dc} {
		if n == nil || n.res == nil {
			continue
		}
		x, okA := n.node[a]
		y, okB := n.node[b]
		if okA && okB && !(n.res.Dead(x) && n.res.Dead(y)) {
			return n.res.V(x) - n.res.V(y), true
		}
	}
	return 0, false
}

// Flow is what a part gives and takes in this state.
func (s *Solution) Flow(part components.ID) (Flow, bool) {
	f, ok := s.flows[part]
	return f, ok
}
