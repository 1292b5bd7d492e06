package session

import (
	"slices"

	"rigline/components"
	"rigline/export/scene"
)

// moveParts are the edits that move parts by so much each, and let the bend points
// of their runs go along: those of a run whose two ends move alike move with it, and
// otherwise the straight piece at a moved end stays straight.
func (s *Session) moveParts(by map[components.ID]components.Point) []components.Edit {
	var edits []components.Edit
	for _, p := range s.Doc().Parts() {
		if d, ok := by[p.ID]; ok {
			edits = append(edits, components.MovePart{ID: p.ID, At: p.At.Add(d), Turn: p.Turn})
		}
	}
	for _, r := range s.Doc().Runs() {
		if path := s.trailed(r, by); !slices.Equal(path, r.Path) {
			e := r.Rerouted()
			e.Path = path
			edits = append(edits, e)
		}
	}
	return edits
}

// trailed are the bend points of a run once parts have moved.
func (s *Session) trailed(r components.Run, by map[components.ID]components.Point) []components.Point {
	from, isFrom := by[r.From.Part]
	to, isTo := by[r.To.Part]
	drawn := s.Sheet().Paths[r.ID]
	if len(r.Path) == 0 || !isFrom && !isTo || len(drawn) < 2 {
		return r.Path
	}
	path := slices.Clone(r.Path)
	switch {
	case isFrom && isTo && from == to:
		for i := range path {
			path[i] = path[i].Add(from)
		}
		return path
	case isFrom:
		levelled(path, onGrid(drawn[0]), from)
	}
	if isTo {
		slices.Reverse(path)
		levelled(path, onGrid(drawn[len(drawn)-1]), to)
		slices.Reverse(path)
	}
	return path
}

// levelled takes the bend points that lie level with a run's first end along with it,
// across the direction in which they lie.
func levelled(path []components.Point, end, by components.Point) {
	level := path[0].Y == end.Y
	if !level && path[0].X != end.X {
		return
	}
	for i := range path {
		switch {
		case level && path[i].Y == end.Y:
			path[i].Y += by.Y
		case !level && path[i].X == end.X:
			path[i].X += by.X
		default:
			return
		}
	}
}

// moving is how far each selected part moves.
func (s *Session) moving(by components.Point) map[components.ID]components.Point {
	all := map[components.ID]components.Point{}
	for _, p := range s.SelectedParts() {
		all[p.ID] = by
	}
	return all
}

// quickBent is a run with bend points of its own while a part of it is moved.
func (s *Session) quickBent(r components.Run, a, b scene.Pt, by components.Point) []scene.Pt {
	pts := []scene.Pt{a}
	for _, q := range s.trailed(r, s.moving(by)) {
		pts = append(pts, pt(q))
	}
	return append(pts, b)
}
