package session

import (
	"fmt"
	"slices"

	"rigline/components"
)

// CommonFields are the figures that everything selected has: the fields of the one
// kind of all selected parts, or of runs where only runs are selected.
func (s *Session) CommonFields() []components.Field {
	parts, runs := s.SelectedParts(), s.SelectedRuns()
	if len(parts)+len(runs) != len(s.selected) || len(s.selected) < 2 {
		return nil
	}
	switch {
	case len(parts) == 0:
		return components.RunFields
	case len(runs) > 0:
		return nil
	}
	var fields []components.Field
	for _, f := range parts[0].Kind.Fields {
		if f.Type == components.Rows {
			continue
		}
		if !slices.ContainsFunc(parts, func(p components.Part) bool {
			g, ok := p.Kind.Field(f.Key)
			return !ok || g.Type != f.Type || g.Unit != f.Unit
		}) {
			fields = append(fields, f)
		}
	}
	return fields
}

// CommonValue is the value of a figure that everything selected agrees on.
func (s *Session) CommonValue(key string) (v components.Value, same bool) {
	for i, id := range s.selected {
		var w components.Value
		if p, ok := s.Doc().Part(id); ok {
			w = p.Spec[key]
		} else if r, ok := s.Doc().Run(id); ok {
			w = r.Spec[key]
		}
		if i > 0 && !w.Equal(v) {
			return components.Value{}, false
		}
		v = w
	}
	return v, true
}

// SetAll tells a figure of everything selected, as one step.
func (s *Session) SetAll(f *components.Field, v components.Value) error {
	var edits []components.Edit
	for _, id := range s.selected {
		edits = append(edits, components.Set{On: id, Key: f.Key, Value: v})
	}
	if w, same := s.CommonValue(f.Key); same && w.Equal(v) {
		return nil
	}
	return s.Do(setLabel(components.ID(fmt.Sprintf("%d selected", len(s.selected))), f, v), edits...)
}

// DescribeAll gives everything selected a status, as one step.
func (s *Session) DescribeAll(status components.Status) error {
	var edits []components.Edit
	for _, p := range s.SelectedParts() {
		e := p.Described()
		e.Status = status
		edits = append(edits, e)
	}
	for _, r := range s.SelectedRuns() {
		e := r.Rerouted()
		e.Status = status
		edits = append(edits, e)
	}
	return s.Do(fmt.Sprintf("Mark %d selected as %s", len(edits), status), edits...)
}
