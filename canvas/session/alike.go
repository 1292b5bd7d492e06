package session

import (
	"fmt"
	"maps"
	"slices"

	"rigline/components"
)

// Alike are the figures that may well be the same as one that is told: nobody has told
// them, and they are of a part of the same kind, or of a run between the same, of which
// nothing told is different. Whether they are the same is for the person to say. Of runs
// they are those that checks ask for; of parts all, since a check often asks for one
// after the other. A closed one is left alone, and so are loads: each takes what it takes.
func (s *Session) Alike(l Lack, asked, closed []Lack) (alike []Lack) {
	if v, ok := s.ValueOf(l); !ok || !v.Known() || l.Rows != nil {
		return nil
	}
	if p, ok := s.Doc().Part(l.On); ok && p.Kind.Role == components.Uses {
		return nil
	}
	all := slices.Clone(asked)
	for _, p := range s.Doc().Parts() {
		m := Lack{On: p.ID, Field: l.Field}
		if !slices.ContainsFunc(asked, m.Same) && !slices.ContainsFunc(closed, m.Same) {
			all = append(all, m)
		}
	}
	for _, m := range all {
		if m.Field == nil || m.Rows != nil || m.Field.Key != l.Field.Key || m.On == l.On || !s.lookAlike(l.On, m.On, l.Field.Key) {
			continue
		}
		if w, ok := s.ValueOf(m); ok && !w.Known() {
			alike = append(alike, m)
		}
	}
	return alike
}

// Likeness is a figure that is told, with others that are the same.
type Likeness struct {
	Of Lack
	To []Lack
}

// TellAlike tells others the same as figures that are told, as one step.
func (s *Session) TellAlike(all []Likeness) error {
	var edits []components.Edit
	for _, l := range all {
		v, _ := s.ValueOf(l.Of)
		for _, m := range l.To {
			edits = append(edits, components.Set{On: m.On, Key: m.Field.Key, Value: v})
		}
	}
	label := fmt.Sprintf("Tell %d figures alike", len(edits))
	if len(all) == 1 {
		v, _ := s.ValueOf(all[0].Of)
		label = setLabel(components.ID(fmt.Sprintf("%d alike", len(edits))), all[0].Of.Field, v)
	}
	return s.Do(label, edits...)
}

// lookAlike tells whether a person would take two parts or runs for the same.
func (s *Session) lookAlike(a, b components.ID, but string) bool {
	r, ok := s.Doc().Run(a)
	q, also := s.Doc().Run(b)
	if !ok || !also {
		return s.sameKind(a, b, but) && s.samePlace(a, b)
	}
	ends := func(e, f components.PortRef) bool {
		return e.Part == f.Part || e.Port == f.Port && s.sameKind(e.Part, f.Part, but)
	}
	return r.Status == q.Status && nothingDiffers(r.Spec, q.Spec, but) && ends(r.From, q.From) && ends(r.To, q.To)
}

// samePlace tells whether two parts that stand in a cable, as fuses, breakers and switches
// do, stand between the same: a string's fuse is none for the inverter.
func (s *Session) samePlace(a, b components.ID) bool {
	p, _ := s.Doc().Part(a)
	q, _ := s.Doc().Part(b)
	switch p.Kind.Role {
	case components.Protects, components.Switches, components.Measures:
	default:
		return true
	}
	mine, others := s.neighbours(p), s.neighbours(q)
	return maps.Equal(mine, others)
}

// neighbours are how many of each kind a part is joined to by a run, at which port.
func (s *Session) neighbours(p components.Part) map[string]int {
	met := map[string]int{}
	for _, r := range s.Doc().RunsOf(p.ID) {
		for _, at := range []components.PortRef{r.From, r.To} {
			if q, ok := s.Doc().Part(at.Part); ok && at.Part != p.ID {
				met[q.Kind.ID+"."+at.Port]++
			}
		}
	}
	return met
}

// sameKind tells whether two parts are of one kind and nothing told is different.
func (s *Session) sameKind(a, b components.ID, but string) bool {
	p, ok := s.Doc().Part(a)
	q, also := s.Doc().Part(b)
	return ok && also && p.Kind == q.Kind && p.Status == q.Status && nothingDiffers(p.Spec, q.Spec, but)
}

// nothingDiffers tells whether two agree in every figure that is known of both.
func nothingDiffers(a, b components.Spec, but string) bool {
	for key, v := range a {
		if w := b[key]; key != but && v.Known() && w.Known() && !v.Equal(w) {
			return false
		}
	}
	return true
}
