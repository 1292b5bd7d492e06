package session

import (
	"fmt"
	"slices"

	"rigline/components"
	"rigline/rules/circuit"
)

// Mishap is what may go wrong in a what-if.
type Mishap int

// The mishaps.
const (
	NoMishap Mishap = iota
	Opened          // a core of a run is open
	Blown           // a device has opened
	SecondBond
	Swapped // hot and neutral of the site
)

// Fault is one thing gone wrong, for a look at what follows. The zero Fault is none.
type Fault struct {
	What Mishap
	On   components.ID
	Pole components.Pole // of an open core
}

// String is the fault as a person would tell it.
func (f Fault) String() string {
	switch f.What {
	case Opened:
		return fmt.Sprintf("%s of %s is open", poleName(f.Pole), f.On)
	case Blown:
		return fmt.Sprintf("%s has opened", f.On)
	case SecondBond:
		return fmt.Sprintf("neutral and ground are joined at %s", f.On)
	case Swapped:
		return fmt.Sprintf("hot and neutral are swapped at %s", f.On)
	}
	return ""
}

func poleName(p components.Pole) string {
	switch p {
	case components.N:
		return "the neutral"
	case components.G:
		return "the ground"
	case components.L:
		return "the hot"
	case components.Pos:
		return "the positive"
	case components.Neg:
		return "the negative"
	}
	return "leg " + string(p)
}

func (f Fault) change() circuit.Change {
	switch f.What {
	case Opened:
		return circuit.OpenCore(f.On, f.Pole)
	case Blown:
		return circuit.Blow(f.On, "")
	case SecondBond:
		return circuit.ExtraBond(f.On)
	}
	return circuit.SwapHotNeutral(f.On)
}

// Faults are the what-ifs that a part or run offers.
func (s *Session) Faults(id components.ID) []Fault {
	var all []Fault
	if r, ok := s.Doc().Run(id); ok {
		cores := s.Doc().CoresOf(r)
		for _, pole := range []components.Pole{components.N, components.L1, components.L2, components.L, components.G, components.Pos, components.Neg} {
			if slices.ContainsFunc(cores, func(c components.Core) bool { return c.From == pole }) {
				all = append(all, Fault{Opened, id, pole})
			}
		}
		return all
	}
	p, ok := s.Doc().Part(id)
	if !ok {
		return nil
	}
	c := circuit.Build(s.Doc(), s.stateOr())
	for _, what := range []Mishap{Blown, SecondBond, Swapped} {
		f := Fault{What: what, On: p.ID}
		if what == Swapped && p.Kind != &components.Shore {
			continue
		}
		if _, err := c.After(f.change()); err == nil {
			all = append(all, f)
		}
	}
	return all
}

// stateOr is the chosen state, or the first.
func (s *Session) stateOr() components.State {
	states := s.Doc().Operating()
	for _, st := range states {
		if st.Name == s.checks.state {
			return st
		}
	}
	if len(states) > 0 {
		return states[0]
	}
	return components.State{}
}

// Suppose shows what follows from a fault in the chosen state, or in the first
// where none is chosen; the zero Fault ends it.
func (s *Session) Suppose(f Fault) {
	if s.checks.fault == f {
		return
	}
	if f.What != NoMishap && s.checks.state == "" {
		s.checks.state = s.stateOr().Name
	}
	s.checks.fault, s.checks.live = f, nil
	s.check()
	s.changed(CheckedChanged)
	if f.What != NoMishap {
		s.Tell(Plain, "What if %s? The sheet shows what follows. Escape ends it", f)
	} else {
		s.Tell(Plain, "")
	}
}

// Supposed is the fault that is shown, the zero Fault for none.
func (s *Session) Supposed() Fault { return s.checks.fault }
