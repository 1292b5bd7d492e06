package solve

import (
	"errors"
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
			z = s.impedance(i, l, ac, tempC)
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

// core is what is known of one core's impedance: its resistance is linear in its
// temperature, so two points hold it for all.
type core struct {
	at0, at100 float64 // Ω, DC resistance at 0 and at 100 °C
	x          float64 // Ω at 60 Hz
}

// impedance is one core's, in ohms, at a conductor temperature.
func (s *Solution) impedance(link int, l circuit.Link, ac bool, tempC float64) complex128 {
	w, ok := s.cores[link]
	if !ok {
		w = s.coreOf(l)
		s.cores[link] = w
	}
	r := w.at0 + (w.at100-w.at0)*tempC/100
	if ac {
		return complex(r, w.x)
	}
	return complex(r, 0)
}

// coreOf looks a core up. One whose size or length is not told is ideal, and its
// run is named in Assumed.
func (s *Solution) coreOf(l circuit.Link) core {
	r, _ := s.Circuit.Doc.Run(l.Run)
	size, ok := r.Size(l.Core.From)
	length := r.Figure("length_ft")
	if !ok || !length.Known() {
		what := "length"
		if !ok {
			what = "size"
		}
		s.Assumed[r.ID] = fmt.Sprintf("the %s of %s is not known", what, r.ID)
		return core{}
	}
	cable, _ := r.Cable()
	solid := cable.SolidTo10 && size.Cmil() <= 10380
	cold, err := tables.Resistance(size, length.Value, 0, solid)
	hot, errHot := tables.Resistance(size, length.Value, 100, solid)
	if err != nil || errHot != nil {
		s.Assumed[r.ID] = errors.Join(err, errHot).Error()
		return core{}
	}
	sets := max(1, r.Figure("sets").Value)
	return core{cold / sets, hot / sets, tables.Reactance(size, length.Value) / sets}
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
