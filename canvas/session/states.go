package session

import (
	"fmt"
	"slices"
	"strings"

	"rigline/components"
)

// OwnStates tells whether the rig's states were told, and not worked out.
func (s *Session) OwnStates() bool { return len(s.Doc().States) > 0 }

// StateNamed finds an operating state.
func (s *Session) StateNamed(name string) (components.State, bool) {
	for _, st := range s.Doc().Operating() {
		if st.Name == name {
			return st, true
		}
	}
	return components.State{}, false
}

// EditState changes one state. States that were worked out become told ones with
// that, since one that is told ends the working out of all.
func (s *Session) EditState(name string, change func(*components.State)) error {
	states := cloned(s.Doc().Operating())
	for i := range states {
		if states[i].Name != name {
			continue
		}
		change(&states[i])
		next := states[i].Name
		if strings.TrimSpace(next) == "" {
			return fmt.Errorf("a state needs a name, as in Off grid")
		}
		if next != name && slices.ContainsFunc(s.Doc().Operating(), func(o components.State) bool { return o.Name == next }) {
			return fmt.Errorf("there is a state %s already", next)
		}
		return s.setStates("Change the state "+name, states, next)
	}
	return fmt.Errorf("there is no state %s", name)
}

// AddState adds a state like another.
func (s *Session) AddState(like string) error {
	states := cloned(s.Doc().Operating())
	st, ok := s.StateNamed(like)
	if !ok {
		st = components.State{SoC: 0.5}
	}
	st.Off, st.On = slices.Clone(st.Off), slices.Clone(st.On)
	base := st.Name
	if base == "" {
		base = "State"
	}
	for n := 2; ; n++ {
		st.Name = fmt.Sprintf("%s %d", base, n)
		if !slices.ContainsFunc(states, func(o components.State) bool { return o.Name == st.Name }) {
			break
		}
	}
	return s.setStates("Add the state "+st.Name, append(states, st), st.Name)
}

// RemoveState takes a state out; the last one is not taken, since then all would
// be worked out again.
func (s *Session) RemoveState(name string) error {
	states := slices.DeleteFunc(cloned(s.Doc().Operating()), func(o components.State) bool { return o.Name == name })
	if len(states) == 0 {
		return fmt.Errorf("%s is the last state", name)
	}
	return s.setStates("Remove the state "+name, states, "")
}

// WorkOutStates lets the states follow from the parts again.
func (s *Session) WorkOutStates() error {
	if !s.OwnStates() {
		return nil
	}
	return s.setStates("Work the states out from the parts", nil, s.checks.state)
}

func (s *Session) setStates(label string, states []components.State, show string) error {
	was := s.checks.state
	s.checks.state, s.checks.live, s.checks.fault = show, nil, Fault{}
	err := s.Do(label, components.SetStates{States: states})
	if err != nil {
		s.checks.state = was
	}
	return err
}

func cloned(states []components.State) []components.State { return slices.Clone(states) }

// PartTags reads "LD1, LD2" as parts of the rig.
func (s *Session) PartTags(text string) ([]components.ID, error) {
	var ids []components.ID
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ' ' }) {
		id := components.ID(word)
		if _, ok := s.Doc().Part(id); !ok {
			return nil, fmt.Errorf("there is no part %s", word)
		}
		ids = append(ids, id)
	}
	return ids, nil
}
