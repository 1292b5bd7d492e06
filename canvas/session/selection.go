package session

import (
	"slices"
	"strings"

	"rigline/components"
	"rigline/export/scene"
)

// Selected is what is selected, in tag order. Do not change the slice.
func (s *Session) Selected() []components.ID { return s.selected }

// IsSelected tells whether a part or run is selected.
func (s *Session) IsSelected(id components.ID) bool { return slices.Contains(s.selected, id) }

// Select selects these and nothing else.
func (s *Session) Select(ids ...components.ID) {
	next := slices.Clone(ids)
	slices.SortFunc(next, components.CompareIDs)
	next = slices.Compact(next)
	if slices.Equal(next, s.selected) {
		return
	}
	s.selected = next
	s.changed(SelectionChanged)
}

// Toggle adds one to the selection or takes it out.
func (s *Session) Toggle(id components.ID) {
	if s.IsSelected(id) {
		s.Select(slices.DeleteFunc(slices.Clone(s.selected), func(o components.ID) bool { return o == id })...)
		return
	}
	s.Select(append(slices.Clone(s.selected), id)...)
}

// SelectAll selects every part and run.
func (s *Session) SelectAll() {
	var ids []components.ID
	for _, p := range s.Doc().Parts() {
		ids = append(ids, p.ID)
	}
	for _, r := range s.Doc().Runs() {
		ids = append(ids, r.ID)
	}
	for i := range s.Doc().Notes {
		ids = append(ids, noteID(i))
	}
	s.Select(ids...)
}

// SelectedParts are the parts among the selected.
func (s *Session) SelectedParts() []components.Part {
	var parts []components.Part
	for _, id := range s.selected {
		if p, ok := s.Doc().Part(id); ok {
			parts = append(parts, p)
		}
	}
	return parts
}

// SelectedRuns are the runs among the selected.
func (s *Session) SelectedRuns() []components.Run {
	var runs []components.Run
	for _, id := range s.selected {
		if r, ok := s.Doc().Run(id); ok {
			runs = append(runs, r)
		}
	}
	return runs
}

// Owner is the part or run that an address belongs to: "BAT1" of "BAT1.pos".
func (s *Session) Owner(address string) (components.ID, bool) {
	id := components.ID(address)
	if s.has(id) {
		return id, true
	}
	head, _, _ := strings.Cut(address, ".")
	id = components.ID(head)
	return id, s.has(id)
}

// BoxOf is the area that a part, a run or a mark-up takes on the sheet.
func (s *Session) BoxOf(id components.ID) (scene.Box, bool) { return s.boxOf([]components.ID{id}) }

// boxOf is the area that parts and runs take on the sheet.
func (s *Session) boxOf(ids []components.ID) (scene.Box, bool) {
	var box scene.Box
	found := false
	with := func(p scene.Pt) {
		if !found {
			box, found = scene.Box{Min: p, Max: p}, true
		}
		box.Min.X, box.Min.Y = min(box.Min.X, p.X), min(box.Min.Y, p.Y)
		box.Max.X, box.Max.Y = max(box.Max.X, p.X), max(box.Max.Y, p.Y)
	}
	sheet := s.Sheet()
	for _, id := range ids {
		if b, ok := sheet.Bodies[id]; ok {
			with(b.Min)
			with(b.Max)
		}
		for _, p := range sheet.Paths[id] {
			with(p)
		}
		if i, ok := s.NoteOf(id); ok {
			b := boxOfNote(s.Doc().Notes[i])
			with(b.Min)
			with(b.Max)
		}
	}
	return box, found
}

// Drawn is the area of all that is drawn, words included; false where nothing is.
func (s *Session) Drawn() (box scene.Box, found bool) {
	s.Sheet()
	for owner, sum := range s.drawn.sums {
		switch {
		case owner == "" || !s.has(components.ID(owner)):
		case found:
			box = union(box, sum.box)
		default:
			box, found = sum.box, true
		}
	}
	return box, found
}
