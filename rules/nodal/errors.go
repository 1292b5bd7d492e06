package nodal

import "fmt"

// Unfit says that a figure of a network cannot be computed with.
type Unfit struct {
	Branch Branch // -1 for none
	What   string
}

func (e *Unfit) Error() string {
	if e.Branch < 0 {
		return "the network has " + e.What
	}
	return fmt.Sprintf("branch %d has %s", e.Branch, e.What)
}

// Conflict says that ideal sources and shorts make a loop whose EMFs do not come
// to zero: its current would have no limit. A and B are two of the loop; they are
// the same where a source is shorted on itself.
type Conflict struct {
	A, B  Branch
	Volts float64 // by which the loop fails to close
}

func (e *Conflict) Error() string {
	return fmt.Sprintf("branches %d and %d, both without impedance, disagree by %.3g V: give one an impedance or open it", e.A, e.B, e.Volts)
}

// Singular says that nothing fixes the voltage of a node: all that meets there
// cancels, as an inductance and a capacitance in resonance do.
type Singular struct{ Node Node }

func (e *Singular) Error() string {
	return fmt.Sprintf("nothing fixes the voltage of node %d: the admittances that meet there cancel", e.Node)
}

// NoSolution says that loads of constant power ask for more than the network can
// carry, and at which load it gives up.
type NoSolution struct {
	Worst   Branch  // the load farthest below its rated voltage, -1 for none
	Volts   float64 // across it when it was given up
	Carried float64 // part of all loads for which a solution was still found, 0..1
	Reason  string
}

func (e *NoSolution) Error() string {
	return fmt.Sprintf("no solution: the voltage collapses to %.3g V at branch %d (%s; solved up to %.0f %% of the loads)", e.Volts, e.Worst, e.Reason, 100*e.Carried)
}

// Apart says that two nodes have no branches between them, so no current can
// flow from one to the other and back.
type Apart struct{ A, B Node }

func (e *Apart) Error() string {
	return fmt.Sprintf("nodes %d and %d are not in one live island", e.A, e.B)
}

// Unlimited says that nothing limits the current of a fault: an ideal source is
// across it.
type Unlimited struct{ A, B Node }

func (e *Unlimited) Error() string {
	return fmt.Sprintf("nothing limits the current between nodes %d and %d: an ideal source is across them", e.A, e.B)
}
