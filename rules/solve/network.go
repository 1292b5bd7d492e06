package solve

import (
	"math"

	"rigline/components"
	"rigline/rules/circuit"
	"rigline/rules/nodal"
)

// stiff is the impedance of a source that holds its voltage, in ohms: small
// against everything that a rig is made of.
const stiff = 1e-5

// inAC and inDC tell which network a pole belongs to. Ground belongs to both:
// they meet on the frame without mixing their currents.
func inAC(p components.Pole) bool { return p.Hot() || p == components.N || p == components.G }
func inDC(p components.Pole) bool { return p.DC() || p == components.G }

// lay makes a network of the circuit's terminals and closed links that belong to
// it. tempC is the conductors' temperature. Runs with a figure missing are noted in
// assumed, which may be nil.
func (s *Solution) lay(in func(components.Pole) bool, ac bool, tempC float64, assumed map[components.ID]string) side {
	c := s.Circuit
	n := side{nodes: make([]nodal.Node, len(c.Terms)), branches: make([]nodal.Branch, len(c.Links))}
	count := nodal.Node(0)
	for t, term := range c.Terms {
		n.nodes[t] = none
		if in(term.Pole) {
			n.nodes[t] = count
			count++
		}
	}
	n.net = nodal.New(int(count))
	joins := 0
	for i := range c.Links {
		l := &c.Links[i]
		n.branches[i] = none
		if i < len(s.laid) && s.laid[i].Closed && n.nodes[l.A] >= 0 && n.nodes[l.B] >= 0 {
			n.branches[i] = 0
			joins++
		}
	}
	n.net.Grow(joins + len(c.Doc.Parts()) + 2*len(c.Sources)) // and what is put between the nodes later
	for i := range c.Links {
		if n.branches[i] == none {
			continue
		}
		l := &c.Links[i]
		a, b := n.nodes[l.A], n.nodes[l.B]
		z := complex128(0)
		if l.Run != "" {
			core := c.Impedance(i)
			if core.Missing != "" && assumed != nil {
				assumed[l.Run] = core.Missing
			}
			z = core.Ohms(tempC, ac)
		}
		n.branches[i] = n.net.Branch(a, b, z)
	}
	if frame, ok := c.Frame(); ok {
		n.net.Reference(n.nodes[frame])
	}
	return n
}

// none stands for no node and for no branch.
const none = -1

// node is the node of a terminal; ok is false where it is in the other network.
func (n *side) node(t circuit.Term) (nodal.Node, bool) {
	k := n.nodes[t]
	return k, k >= 0
}

// branch is the branch of a link; ok is false where it is open or in the other
// network.
func (n *side) branch(link int) (nodal.Branch, bool) {
	if link < 0 || link >= len(n.branches) || n.branches[link] < 0 {
		return none, false
	}
	return n.branches[link], true
}

// drawn are the sources and loads: which part each branch stands for.
type drawn struct {
	branch nodal.Branch
	part   components.ID
}

// put notes the part that a branch stands for.
func (n *side) put(b nodal.Branch, part components.ID) nodal.Branch {
	n.drawn = append(n.drawn, drawn{b, part})
	return b
}

// factor takes over the factors and the voltages of the document before, where the
// edit has left the matrix as it was.
func (n *side) factor(before *side) (err error) {
	if before.factored != nil {
		if f, ok := before.factored.For(n.net); ok {
			n.factored, n.res = f, before.res
			return nil
		}
	}
	n.factored, err = n.net.Factor()
	return err
}

// draw sets the power that the other side asks of a load, in watts.
func (n *side) draw(b nodal.Branch, watts float64) {
	old := real(n.net.PowerOf(b))
	if watts != old {
		n.moved = math.Max(n.moved, math.Abs(watts-old)/math.Max(math.Abs(watts), 1))
		n.net.SetPower(b, complex(watts, 0))
	}
}

// partOf is the part that a branch of a source or a load stands for.
func (n *side) partOf(b nodal.Branch) components.ID {
	for _, d := range n.drawn {
		if d.branch == b {
			return d.part
		}
	}
	return ""
}

// at finds the node of a part's terminal.
func (n *side) at(c *circuit.Circuit, part components.ID, port string, pole components.Pole) (nodal.Node, bool) {
	t, ok := c.At(part, port, pole)
	if !ok {
		return none, false
	}
	return n.node(t)
}

// battery puts a battery between its posts.
func (n *side) battery(c *circuit.Circuit, part components.ID, b bank) {
	if k, ok := n.cell(c, part, b); ok {
		n.put(n.net.Source(k.pos, k.neg, complex(k.emf, 0), complex(k.ohms, 0)), part)
	}
}

// cell is a battery between two nodes, in volts and ohms.
type cell struct {
	pos, neg  nodal.Node
	emf, ohms float64
}

// cell is where a battery stands; ok is false where it gives nothing.
func (n *side) cell(c *circuit.Circuit, part components.ID, b bank) (k cell, ok bool) {
	pos, okP := n.at(c, part, "pos", components.Pos)
	neg, okN := n.at(c, part, "neg", components.Neg)
	return cell{pos, neg, b.emf, max(b.ohms, stiff)}, okP && okN && b.emf > 0
}
