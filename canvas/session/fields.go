package session

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"rigline/components"
)

// SetField tells one field of a part or run as a person typed it, as one step.
func (s *Session) SetField(on components.ID, f *components.Field, v components.Value) error {
	old := components.Value{}
	if p, ok := s.Doc().Part(on); ok {
		old = p.Spec[f.Key]
	} else if r, ok := s.Doc().Run(on); ok {
		old = r.Spec[f.Key]
	}
	if v.Equal(old) {
		return nil
	}
	edits := []components.Edit{components.Set{On: on, Key: f.Key, Value: v}}
	follow, edits := s.followed(edits)
	if err := s.Do(setLabel(on, f, v), edits...); err != nil {
		return err
	}
	if len(follow) > 0 {
		s.Tell(Plain, "%s: what nothing is joined to yet follows the site supply", strings.Join(follow, ", "))
	}
	return nil
}

// followed adds what follows from an edit of the site supply: parts that no run
// ends at yet, and that are as a new one was under the old supply, become as a new
// one is under the new.
func (s *Session) followed(edits []components.Edit) (names []string, all []components.Edit) {
	set, ok := edits[0].(components.Set)
	if p, is := s.Doc().Part(set.On); !ok || !is || p.Kind != &components.Shore || set.Key != "service" {
		return nil, edits
	}
	next, err := s.Doc().Apply(edits...)
	if err != nil {
		return nil, edits
	}
	all = edits
	for _, p := range s.Doc().Parts() {
		if len(s.Doc().RunsOf(p.ID)) > 0 || p.Gone() {
			continue
		}
		for _, key := range []string{"rating_a", "legs"} {
			was, will := NewPart(s.Doc(), p.Kind).Spec[key], NewPart(next, p.Kind).Spec[key]
			if was.Equal(will) || !p.Spec[key].Equal(was) {
				continue
			}
			all = append(all, components.Set{On: p.ID, Key: key, Value: will})
			names = append(names, string(p.ID))
		}
	}
	return names, all
}

func setLabel(on components.ID, f *components.Field, v components.Value) string {
	title := strings.ToLower(f.Title[:1]) + f.Title[1:]
	switch {
	case !v.Told():
		return fmt.Sprintf("Clear %s of %s", title, on)
	case v.IsUnknown():
		return fmt.Sprintf("Set %s of %s to unknown", title, on)
	case f.Type == components.Rows:
		return fmt.Sprintf("Change %s of %s", title, on)
	case f.Unit != "":
		return fmt.Sprintf("Set %s of %s to %s %s", title, on, v, f.Unit)
	}
	return fmt.Sprintf("Set %s of %s to %s", title, on, v)
}

// Rename gives a part another tag.
func (s *Session) Rename(id, to components.ID) error {
	if id == to {
		return nil
	}
	if _, ok := s.Doc().Run(id); ok {
		return s.renameRun(id, to)
	}
	if err := s.Do(fmt.Sprintf("Rename %s to %s", id, to), components.RenamePart{ID: id, To: to}); err != nil {
		return err
	}
	s.Select(to)
	return nil
}

func (s *Session) renameRun(id, to components.ID) error {
	run, _ := s.Doc().Run(id)
	run.ID = to
	if err := s.Do(fmt.Sprintf("Rename %s to %s", id, to), components.RemoveRun{ID: id}, components.AddRun{Run: run}); err != nil {
		return err
	}
	s.Select(to)
	return nil
}

// AddRow adds a row to a table field, as a panel's circuit. What a row must tell
// is told to be unknown.
func (s *Session) AddRow(on components.ID, f *components.Field) error {
	p, ok := s.Doc().Part(on)
	if !ok {
		return fmt.Errorf("there is no part %s", on)
	}
	rows := append(slices.Clone(p.Spec[f.Key].Rows()), newRow(f))
	return s.Do(fmt.Sprintf("Add circuit %d to %s", len(rows), on), components.Set{On: on, Key: f.Key, Value: components.Table(rows...)})
}

// newRow is a row of a table field as it is added.
func newRow(f *components.Field) components.Spec {
	row := components.Spec{}
	for _, c := range f.Row {
		switch {
		case c.Shapes && len(c.Choices) > 0:
			row = row.With(c.Key, components.Str(c.Choices[0]))
		case c.Required:
			row = row.With(c.Key, components.Unknown)
		}
	}
	return row
}

// SetCell tells one cell of a table field.
func (s *Session) SetCell(on components.ID, f *components.Field, row int, c *components.Field, v components.Value) error {
	p, ok := s.Doc().Part(on)
	if !ok || row >= len(p.Spec[f.Key].Rows()) {
		return fmt.Errorf("%s has no row %d", on, row+1)
	}
	rows := slices.Clone(p.Spec[f.Key].Rows())
	if rows[row][c.Key].Equal(v) {
		return nil
	}
	rows[row] = rows[row].With(c.Key, v)
	label := strings.ToLower(c.Title[:1]) + c.Title[1:]
	return s.Do(fmt.Sprintf("Set %s of %s circuit %d", label, on, row+1), components.Set{On: on, Key: f.Key, Value: components.Table(rows...)})
}

// RemoveRow takes a row out. The circuits behind it move up, and the runs that end
// at them go with them; one that ends at the circuit itself has to go first.
func (s *Session) RemoveRow(on components.ID, f *components.Field, row int) error {
	p, ok := s.Doc().Part(on)
	if !ok {
		return fmt.Errorf("there is no part %s", on)
	}
	rows := slices.Clone(p.Spec[f.Key].Rows())
	if row < 0 || row >= len(rows) {
		return fmt.Errorf("%s has no row %d", on, row+1)
	}
	port := func(i int) components.PortRef { return p.Ref(fmt.Sprintf("c%d", i+1)) }
	label := fmt.Sprintf("Remove circuit %d of %s", row+1, on)
	if runs := s.Doc().RunsAt(port(row)); len(runs) > 0 {
		err := fmt.Errorf("%s ends at circuit %d of %s: remove the run first", runs[0].ID, row+1, on)
		s.Tell(Wrong, "%v", err)
		return err
	}
	moved := map[components.ID]components.Run{}
	var order []components.ID
	for i := row + 1; i < len(rows); i++ {
		for _, r := range s.Doc().RunsAt(port(i)) {
			if held, again := moved[r.ID]; again {
				r = held
			} else {
				order = append(order, r.ID)
			}
			if r.From == port(i) {
				r.From = port(i - 1)
			}
			if r.To == port(i) {
				r.To = port(i - 1)
			}
			moved[r.ID] = r
		}
	}
	var edits []components.Edit
	for _, id := range order {
		edits = append(edits, components.RemoveRun{ID: id})
	}
	edits = append(edits, components.Set{On: on, Key: f.Key, Value: components.Table(slices.Delete(rows, row, row+1)...)})
	for _, id := range order {
		edits = append(edits, components.AddRun{Run: moved[id]})
	}
	return s.Do(label, edits...)
}

// protective is what a caravan's rule set calls the ground core.
var protective = regexp.MustCompile(`(?i)\bPE\b`)

// SetCores tells a run's conductors as a person typed them, "" for those that both
// ports have.
func (s *Session) SetCores(id components.ID, text string) error {
	cores, err := ParseCores(protective.ReplaceAllString(text, "G"))
	if err != nil {
		return err
	}
	run, ok := s.Doc().Run(id)
	if !ok {
		return fmt.Errorf("there is no run %s", id)
	}
	if slices.Equal(cores, run.Cores) {
		return nil
	}
	e := run.Rerouted()
	e.Cores = cores
	return s.Do("Change the conductors of "+string(id), e)
}

// ParseCores reads "L>L1, N, G"; "" is nil.
func ParseCores(text string) ([]components.Core, error) {
	var cores []components.Core
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ' ' }) {
		c, err := components.ParseCore(word)
		if err != nil {
			return nil, err
		}
		cores = append(cores, c)
	}
	return cores, nil
}
