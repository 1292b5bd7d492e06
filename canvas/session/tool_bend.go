package session

import (
	"slices"

	"rigline/components"
	"rigline/export/scene"
)

// grips are the bend points of the one selected run.
func (s *Session) grips() []scene.Pt {
	run, ok := s.onlyRun()
	if !ok {
		return nil
	}
	path := s.Sheet().Paths[run]
	if len(path) < 3 {
		return nil
	}
	return path[1 : len(path)-1]
}

func (s *Session) onlyRun() (components.ID, bool) {
	if len(s.selected) != 1 {
		return "", false
	}
	_, ok := s.Doc().Run(s.selected[0])
	return s.selected[0], ok
}

// gripAt is the bend point under the pointer.
func (s *Session) gripAt(p Pointer) (components.ID, int, bool) {
	for i, g := range s.grips() {
		if dist(g, p.At) <= p.Reach {
			return s.selected[0], i, true
		}
	}
	return "", 0, false
}

// bend drags one bend point of a run.
type bend struct {
	run  components.ID
	path []components.Point // its bend points
	grip int
	old  []components.Point
}

func newBend(s *Session, run components.ID, grip int) *bend {
	b := &bend{run: run, grip: grip}
	for _, q := range s.grips() {
		b.path = append(b.path, onGrid(q))
	}
	b.old = slices.Clone(b.path)
	return b
}

func (b *bend) drag(s *Session, p Pointer) {
	to := onGrid(p.At)
	next := slices.Clone(b.old)
	from := next[b.grip]
	next[b.grip] = to
	// The neighbours slide along so that the angles stay right.
	if i := b.grip - 1; i >= 0 {
		if b.old[i].X == from.X {
			next[i].X = to.X
		} else if b.old[i].Y == from.Y {
			next[i].Y = to.Y
		}
	}
	if i := b.grip + 1; i < len(next) {
		if b.old[i].X == from.X {
			next[i].X = to.X
		} else if b.old[i].Y == from.Y {
			next[i].Y = to.Y
		}
	}
	b.path = next
}

func (b *bend) release(s *Session, p Pointer) {
	b.drag(s, p)
	s.bendTo(b.run, b.path, b.old)
}

func (s *Session) bendTo(id components.ID, path, old []components.Point) {
	if slices.Equal(path, old) {
		return
	}
	run, ok := s.Doc().Run(id)
	if !ok {
		return
	}
	e := run.Rerouted()
	e.Path = path
	_ = s.Do("Bend "+string(id), e)
}

func (b *bend) preview(s *Session) Preview { return bentPreview(s, b.run, b.path) }

func bentPreview(s *Session, id components.ID, path []components.Point) Preview {
	v := Preview{Cursor: Grip, Hide: map[components.ID]bool{id: true}}
	sheet := s.Sheet()
	whole := sheet.Paths[id]
	if len(whole) < 2 {
		return v
	}
	pts := []scene.Pt{whole[0]}
	for _, q := range path {
		pts = append(pts, pt(q))
	}
	pts = append(pts, whole[len(whole)-1])
	sh := scene.Shape{Address: string(id), Layer: scene.RunLayer, Form: scene.Polyline, Role: scene.Ink, Weight: components.Wide, Pts: pts}
	for _, old := range sheet.Shapes {
		if old.Address == string(id) && old.Form == scene.Polyline && old.Layer == scene.RunLayer {
			sh.Role, sh.Weight, sh.Dash = old.Role, old.Weight, old.Dash
			break
		}
	}
	v.Shapes = []scene.Shape{sh}
	v.Grips = pts[1 : len(pts)-1]
	return v
}

// shift drags a straight piece of a run sideways.
type shift struct {
	run   components.ID
	piece int
	start scene.Pt
	old   []components.Point // the bend points before
	path  []components.Point
	moved bool
}

// newShift takes the piece under the pointer, unless it is one that leaves a port.
func newShift(s *Session, id components.ID, p Pointer) (*shift, bool) {
	whole := s.Sheet().Paths[id]
	on, _ := nearestOn(whole, p.At)
	if on.piece == 0 || on.piece >= len(whole)-2 {
		return nil, false
	}
	g := &shift{run: id, piece: on.piece, start: p.At}
	for _, q := range whole[1 : len(whole)-1] {
		g.old = append(g.old, onGrid(q))
	}
	g.path = g.old
	return g, true
}

func (g *shift) drag(s *Session, p Pointer) {
	if !g.moved && dist(p.At, g.start) < p.Reach {
		return
	}
	g.moved = true
	next := slices.Clone(g.old)
	i, j := g.piece-1, g.piece // the piece's ends among the bend points
	to := onGrid(p.At)
	if next[i].X == next[j].X {
		next[i].X, next[j].X = to.X, to.X
	} else {
		next[i].Y, next[j].Y = to.Y, to.Y
	}
	g.path = next
}

func (g *shift) release(s *Session, p Pointer) {
	g.drag(s, p)
	s.bendTo(g.run, g.path, g.old)
}

func (g *shift) preview(s *Session) Preview {
	if !g.moved {
		return Preview{Cursor: Grip, Grips: s.grips()}
	}
	return bentPreview(s, g.run, g.path)
}
