package solve

import (
	"slices"

	"rigline/rules/circuit"
	"rigline/rules/nodal"
)

// again solves a changed circuit out of this solution's factored AC network:
// what has opened is opened in it, what was added is added, and the rest of the
// factors stand. ok is false where the change alters what feeds or draws, so that
// the circuit has to be solved anew.
func (s *Solution) again(c *circuit.Circuit) (t *Solution, ok bool) {
	if s.ac.factored == nil || !slices.EqualFunc(s.Circuit.Sources, c.Sources, func(a, b circuit.Source) bool { return a == b }) {
		return nil, false
	}
	var opened, added []int
	for i, l := range c.Links {
		switch {
		case i >= len(s.Circuit.Links):
			added = append(added, i)
		case s.Circuit.Links[i].Closed && !l.Closed:
			opened = append(opened, i)
		case s.Circuit.Links[i].Closed != l.Closed || s.Circuit.Links[i].A != l.A || s.Circuit.Links[i].B != l.B:
			return nil, false
		}
	}
	t = begin(c, s.options)
	t.laid = s.Circuit.Links
	k := t.networks()
	t.laid = c.Links // what is laid out later stands in the changed circuit
	if !slices.Equal(t.ac.drawn, s.ac.drawn) {
		return nil, false
	}
	var changes []nodal.Change
	first := nodal.Branch(s.ac.factored.Branches())
	for _, i := range added {
		a, okA := t.ac.node(c.Links[i].A)
		b, okB := t.ac.node(c.Links[i].B)
		if okA && okB {
			t.ac.branches[i] = first + nodal.Branch(len(changes))
			changes = append(changes, nodal.Add(a, b, 0))
		}
	}
	for _, i := range opened {
		if b, ok := t.ac.branch(i); ok {
			changes = append(changes, nodal.Open(b))
			t.ac.branches[i] = none
		}
		if b, ok := t.dc.branch(i); ok {
			t.dc.net.Open(b)
			t.dc.branches[i] = none
		}
	}
	for _, d := range t.ac.drawn { // what the other side asks of it is found again
		if p := t.ac.net.PowerOf(d.branch); p != s.ac.net.PowerOf(d.branch) {
			changes = append(changes, nodal.SetPower(d.branch, p))
		}
	}
	t.ac.factored = s.ac.factored.With(changes...)
	t.ac.net = t.ac.factored.Network()
	t.finish(k)
	return t, true
}
