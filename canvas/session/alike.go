package session

import (
	"fmt"
	"slices"

	"rigline/components"
)

// Alike are the figures that may well be the same as one that is told: nobody has told
// them, and they are of a part of the same kind, or of a run between the same, of which
// nothing told is different. Whether they are the same is for the person to say. Of runs
// they are those that checks ask for; of parts all, since a check often asks for one
// after the other. A closed one is left alone.
func (s *Session) Alike(l Lack, asked, closed []Lack) (alike []Lack) {
	if v, ok := s.ValueOf(l); !ok || !v.Known() || l.Rows != nil {
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

// TellAlike tells figures of a list the same as one that is told, as one step.
func (s *Session) TellAlike(l Lack, alike []Lack) error {
	v, _ := s.ValueOf(l)
	edits := make([]components.Edit, len(alike))
	for i, m := range alike {
		edits[i] = components.Set{On: m.On, Key: m.Field.Key, Value: v}
	}
	return s.Do(setLabel(components.ID(fmt.Sprintf("%d alike", len(alike))), l.Field, v), edits...)
}

// lookAlike tells whether a person would take two parts or runs for the same.
func (s *Session) lookAlike(a, b components.ID, but string) bool {
	r, ok := s.Doc().Run(a)
	q, also := s.Doc().Run(b)
	if !ok || !also {
		return s.sameKind(a, b, but)
	}
	ends := func(e, f components.PortRef) bool {
		return e.Part == f.Part || e.Port == f.Port && s.sameKind(e.Part, f.Part, but)
	}
	return r.Status == q.Status && nothingDiffers(r.Spec, q.Spec, but) && ends(r.From, q.From) && ends(r.To, q.To)
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
