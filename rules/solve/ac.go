package solve

import (
	"math"
	"math/cmplx"

	"rigline/components"
	"rigline/rules/circuit"
	"rigline/rules/nodal"
)

// phasor is an rms voltage at an angle in degrees.
func phasor(volts, degrees float64) complex128 {
	return cmplx.Rect(volts, degrees*math.Pi/180)
}

// strength is how a site's available fault current is taken. What is told is its
// size, not how much of it is reactance. As a resistance it costs a load the most
// voltage and a far fault the most current; as a reactance it stands square to a
// cable's resistance and leaves a far fault the most.
type strength int

const (
	working strength = iota // solved with loads and inverters: a resistance
	lowest                  // a fault: sites and machines alone, a resistance
	highest                 // a fault: sites and machines alone, a reactance
)

// acSources puts the AC EMFs in: the site behind its available fault current,
// a generator behind its subtransient reactance, and, where it works, an inverter
// stiff.
func (s *Solution) acSources(n *side, as strength) {
	c := s.Circuit
	for _, src := range c.Sources {
		hot, okH := n.node(src.Hot)
		ret, okR := n.node(src.Return)
		if !okH || !okR || c.Terms[src.Hot].Pole.DC() { // a miswired outlet drives its neutral
			continue
		}
		p, _ := c.Doc.Part(src.Part)
		if as != working && (p.Kind.Role == components.Converts || unknownStrength(p)) {
			continue // a fault current that nothing is known to limit is not a figure
		}
		b := n.net.Source(hot, ret, phasor(src.Volts, src.Degrees), s.sourceImpedance(p, src.Volts, as))
		n.put(b, src.Part)
	}
}

// unknownStrength tells whether what a site or a generator pushes into a short is
// not known.
func unknownStrength(p components.Part) bool {
	switch p.Kind {
	case &components.Shore:
		return !p.Figure("available_fault_a").Known()
	case &components.Generator:
		return !p.Figure("rating_va").Known() || !p.Figure("subtransient_pu").Known()
	}
	return false
}

// assume notes a missing figure of the state at work. Fault networks, which states
// share, follow from the same figures.
func (s *Solution) assume(id components.ID, as strength, missing string) {
	if as == working {
		s.Assumed[id] = missing
	}
}

// sourceImpedance is that of one leg, in ohms.
func (s *Solution) sourceImpedance(p components.Part, volts float64, as strength) complex128 {
	switch p.Kind {
	case &components.Shore:
		if f := p.Figure("available_fault_a"); f.Known() && f.Value > 0 {
			if as == highest {
				return complex(0, volts/f.Value)
			}
			return complex(volts/f.Value, 0)
		}
		s.assume(p.ID, as, "the fault current at the site is not known")
	case &components.Generator:
		va := p.Figure("rating_va")
		if !va.Known() {
			s.assume(p.ID, as, "the rating of the generator is not known")
			break
		}
		leg := va.Value
		if p.Word("legs") != "one" {
			leg /= 2
		}
		return complex(0, p.Figure("subtransient_pu").Value*volts*volts/leg)
	}
	return stiff
}

// on tells whether a load is switched on in the state.
func (s *Solution) on(id components.ID) bool {
	st := s.Circuit.State
	for _, off := range st.Off {
		if off == id {
			return false
		}
	}
	if len(st.On) == 0 {
		return true
	}
	for _, on := range st.On {
		if on == id {
			return true
		}
	}
	return false
}

// acLoads puts the appliances in and gives back the branches that the chargers
// draw on, whose power follows from the DC side.
func (s *Solution) acLoads(n *side) {
	c := s.Circuit
	for _, p := range c.Doc.Parts() {
		if p.Gone() || p.Kind != &components.ACLoad || !s.on(p.ID) {
			continue
		}
		va := p.Figure("va")
		if !va.Known() {
			s.Assumed[p.ID] = "its power is not known"
			continue
		}
		pf := p.Figure("pf").Value
		load := complex(va.Value*pf, va.Value*math.Sqrt(math.Max(0, 1-pf*pf)))
		a, b, volts, ok := s.loadEnds(n, p)
		if !ok || va.Value == 0 {
			continue
		}
		var br nodal.Branch
		if p.Word("behaves") == "resistance" || s.options.LoadsAsImpedance {
			br = n.net.Branch(a, b, complex(volts*volts, 0)/cmplx.Conj(load))
		} else {
			br = n.net.Power(a, b, load, volts)
		}
		n.put(br, p.ID)
	}
}

// loadEnds are the nodes that a load hangs between. A load whose hot is dead, or
// whose two hots have no voltage between them, is dead itself, unless impedances
// are asked for: over those a dead hot may be fed from behind.
func (s *Solution) loadEnds(n *side, p components.Part) (a, b nodal.Node, volts float64, ok bool) {
	c := s.Circuit
	x, y, volts, ok := LoadTerms(c, p)
	if !ok {
		return 0, 0, 0, false
	}
	if !s.options.LoadsAsImpedance {
		dead := !c.Live(x)
		if c.Terms[y].Pole.Hot() {
			phase := c.PhaseOf(x, y)
			dead = phase == circuit.InPhase || phase == circuit.OneDead
		}
		if dead {
			return 0, 0, 0, false
		}
	}
	a, _ = n.node(x)
	b, _ = n.node(y)
	return a, b, volts, true
}
