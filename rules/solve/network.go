package solve

import (
	"fmt"

	"rigline/components"
	"rigline/rules/circuit"
	"rigline/rules/nodal"
	"rigline/rules/tables"
)

// stiff is the impedance of a source that holds its voltage, in ohms: small
// against everything that a rig is made of.
const stiff = 1e-5

// inAC and inDC tell which network a pole belongs to. Ground belongs to both:
// they meet on the frame without mixing their currents.
func inAC(p components.Pole) bool { return p.Hot() || p == components.N || p == components.G }
func inDC(p components.Pole) bool { return p.DC() || p == components.G }

// lay makes a network of the circuit's terminals and closed links that belong to
// it. tempC is the conductors' temperature.
func (s *Solution) lay(in func(components.Pole) bool, ac bool, tempC float64) side {
	c := s.Circuit
	n := side{node: map[circuit.Term]nodal.Node{}, branch: map[int]nodal.Branch{}, of: map[nodal.Branch]components.ID{}}
	for t, term := range c.Terms {
		if in(term.Pole) {
			n.node[circuit.Term(t)] = nodal.Node(len(n.node))
		}
	}
	n.net = nodal.New(len(n.node))
	for i, l := range c.Links {
		a, okA := n.node[l.A]
		b, okB := n.node[l.B]
		if !l.Closed || !okA || !okB {
			continue
		}
		z := complex128(0)
		if l.Run != "" {
			z = s.impedance(l, ac, tempC)
		}
		n.branch[i] = n.net.Branch(a, b, z)
	}
	for t, term := range c.Terms {
		if q, _ := c.Doc.Part(term.Part); q.Kind == &components.Chassis {
			n.net.Reference(n.node[circuit.Term(t)])
			break
		}
	}
	return n
}

// impedance is one core's, in ohms.
func (s *Solution) impedance(l circuit.Link, ac bool, tempC float64) complex128 {
	r, _ := s.Circuit.Doc.Run(l.Run)
	size, ok := r.Size(l.Core.From)
	length := r.Figure("length_ft")
	if !ok || !length.Known() {
		what := "length"
		if !ok {
			what = "size"
		}
		s.Assumed[r.ID] = fmt.Sprintf("the %s of %s is not known", what, r.ID)
		return 0
	}
	cable, _ := r.Cable()
	solid := cable.SolidTo10 && size.Cmil() <= 10380
	ohms, err := tables.Resistance(size, length.Value, tempC, solid)
	if err != nil {
		s.Assumed[r.ID] = err.Error()
		return 0
	}
	sets := max(1, r.Figure("sets").Value)
	x := 0.0
	if ac {
		x = tables.Reactance(size, length.Value)
	}
	return complex(ohms/sets, x/sets)
}

// at finds the node of a part's terminal.
func (n *side) at(c *circuit.Circuit, part components.ID, port string, pole components.Pole) (nodal.Node, bool) {
	t, ok := c.At(part, port, pole)
	if !ok {
		return 0, false
	}
	node, ok := n.node[t]
	return node, ok
}
