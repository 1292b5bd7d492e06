package session

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/export/scene"
)

func dist(a, b scene.Pt) float64 { return math.Hypot(a.X-b.X, a.Y-b.Y) }

// carry moves the selected parts, or the one that was pressed.
type carry struct {
	lead  components.Part
	start scene.Pt
	by    components.Point
	moved bool
	click bool // selected alone on release, if nothing moved
	into  fitting
	fits  bool

	shown   *Preview // the last preview, kept while nothing moves by a module
	shownBy components.Point
	shownOf *scene.Sheet
}

func newCarry(s *Session, id components.ID, p Pointer) *carry {
	lead, _ := s.Doc().Part(id)
	c := &carry{lead: lead, start: p.At}
	switch {
	case p.Shift:
		s.Toggle(id)
	case !s.IsSelected(id):
		s.Select(id)
	default:
		c.click = true
	}
	return c
}

func (c *carry) drag(s *Session, p Pointer) {
	if !c.moved && dist(p.At, c.start) < p.Reach/2 {
		return
	}
	c.moved = true
	at := onGrid(scene.Pt{X: float64(c.lead.At.X) + p.At.X - c.start.X, Y: float64(c.lead.At.Y) + p.At.Y - c.start.Y})
	c.by = components.Point{X: at.X - c.lead.At.X, Y: at.Y - c.lead.At.Y}
	c.fits = false
	if parts := s.SelectedParts(); len(parts) == 1 && len(s.Doc().RunsOf(parts[0].ID)) == 0 {
		c.into, c.fits = s.landing(parts[0], p.At, p.Reach)
	}
}

func (c *carry) release(s *Session, p Pointer) {
	if !c.moved {
		if c.click {
			s.Select(c.lead.ID)
		}
		return
	}
	c.drag(s, p)
	if c.fits {
		f := c.into
		edits := []components.Edit{components.MovePart{ID: f.part.ID, At: f.part.At, Turn: f.part.Turn}}
		if v, told := f.part.Spec["pole"]; told && !v.Equal(c.lead.Spec["pole"]) {
			edits = append(edits, components.Set{On: f.part.ID, Key: "pole", Value: v})
		}
		if s.Do(fmt.Sprintf("Fit %s in %s", f.part.ID, f.run.ID), append(edits, f.edits(s.Doc())...)...) == nil {
			s.tellSplit(f)
		}
		return
	}
	s.MoveBy(c.by)
}

// MoveBy moves the selected parts, and bend points of runs that go with them, as
// one step.
func (s *Session) MoveBy(by components.Point) {
	parts := s.SelectedParts()
	if by == (components.Point{}) || len(parts) == 0 {
		return
	}
	if s.Do("Move "+namesOf(parts), s.moveParts(s.moving(by))...) == nil {
		s.tellOverlap(parts)
	}
}

// tellOverlap says where a part that was put down lies over another.
func (s *Session) tellOverlap(parts []components.Part) {
	bodies := s.Sheet().Bodies
	for _, p := range parts {
		a := bodies[p.ID]
		for _, q := range s.Doc().Parts() {
			b, ok := bodies[q.ID]
			if ok && q.ID != p.ID && a.Min.X < b.Max.X && b.Min.X < a.Max.X && a.Min.Y < b.Max.Y && b.Min.Y < a.Max.Y {
				s.Tell(Wrong, "%s lies over %s: move one of them, undo, or tidy the sheet", p.ID, q.ID)
				return
			}
		}
	}
}

func namesOf(parts []components.Part) string {
	if len(parts) == 1 {
		return string(parts[0].ID)
	}
	return fmt.Sprintf("%d parts", len(parts))
}

// preview draws the moved symbols at once and their runs as quick lines. Nothing
// else is routed anew until the release.
func (c *carry) preview(s *Session) Preview {
	v := Preview{Cursor: Grip, HintAt: scene.Pt{}}
	if !c.moved {
		return v
	}
	v.Hide = map[components.ID]bool{}
	sheet := s.Sheet()
	if c.fits {
		id := c.into.part.ID
		v.Hide[id] = true
		v.Over = c.into.run.ID
		v.Shapes = symbolShapes(c.into.part)
		v.HintAt = pt(c.into.part.At)
		v.Hint = fmt.Sprintf("fit %s in %s", id, c.into.run.ID)
		return v
	}
	for _, p := range s.SelectedParts() {
		v.Hide[p.ID] = true
		for _, r := range s.Doc().RunsOf(p.ID) {
			v.Hide[r.ID] = true
		}
	}
	if c.shown != nil && c.shownBy == c.by && c.shownOf == sheet {
		return *c.shown
	}
	for _, sh := range sheet.Shapes {
		id := components.ID(ownerOf(sh.Address))
		if !v.Hide[id] || sh.Layer == scene.MarkLayer {
			continue
		}
		if r, isRun := s.Doc().Run(id); isRun && !(s.IsSelected(r.From.Part) && s.IsSelected(r.To.Part)) {
			continue
		}
		v.Shapes = append(v.Shapes, shifted(sh, c.by))
	}
	for id := range v.Hide {
		r, isRun := s.Doc().Run(id)
		if !isRun || s.IsSelected(r.From.Part) && s.IsSelected(r.To.Part) {
			continue
		}
		if sh, ok := c.quick(s, sheet, r); ok {
			v.Shapes = append(v.Shapes, sh)
		}
	}
	v.Guides = c.guides(s, sheet)
	c.shown, c.shownBy, c.shownOf = &v, c.by, sheet
	return v
}

// quick is a run of a moved part as a line of right angles.
func (c *carry) quick(s *Session, sheet *scene.Sheet, r components.Run) (scene.Shape, bool) {
	path := sheet.Paths[r.ID]
	if len(path) < 2 {
		return scene.Shape{}, false
	}
	a, b := path[0], path[len(path)-1]
	by := scene.Pt{X: float64(c.by.X), Y: float64(c.by.Y)}
	if s.IsSelected(r.From.Part) {
		a = scene.Pt{X: a.X + by.X, Y: a.Y + by.Y}
	}
	if s.IsSelected(r.To.Part) {
		b = scene.Pt{X: b.X + by.X, Y: b.Y + by.Y}
	}
	st := scene.StyleOf(s.Doc(), r)
	sh := scene.Shape{Address: string(r.ID), Layer: scene.RunLayer, Form: scene.Polyline, Role: st.Role, Weight: st.Weight, Dash: st.Dash}
	if len(r.Path) > 0 {
		sh.Pts = s.quickBent(r, a, b, c.by)
	} else {
		sh.Pts = elbow(a, sideOf(s, r.From), b, sideOf(s, r.To), true)
	}
	return sh, true
}

func sideOf(s *Session, ref components.PortRef) components.Side {
	_, port, _ := s.Doc().Port(ref)
	return port.Side
}

func shifted(sh scene.Shape, by components.Point) scene.Shape {
	pts := make([]scene.Pt, len(sh.Pts))
	for i, p := range sh.Pts {
		pts[i] = scene.Pt{X: p.X + float64(by.X), Y: p.Y + float64(by.Y)}
	}
	sh.Pts = pts
	return sh
}

// guides are lines between a moved part's ports and others that lie level with
// them, the nearest in each direction.
func (c *carry) guides(s *Session, sheet *scene.Sheet) [][2]scene.Pt {
	if len(s.SelectedParts()) != 1 {
		return nil
	}
	id := s.SelectedParts()[0].ID
	type best struct {
		line [2]scene.Pt
		d    float64
	}
	var across, down *best
	for _, mine := range sheet.Ports {
		if mine.Ref.Part != id {
			continue
		}
		p := scene.Pt{X: mine.At.X + float64(c.by.X), Y: mine.At.Y + float64(c.by.Y)}
		for _, other := range sheet.Ports {
			if other.Ref.Part == id {
				continue
			}
			if d := math.Abs(other.At.X - p.X); other.At.Y == p.Y && (across == nil || d < across.d) {
				across = &best{[2]scene.Pt{p, other.At}, d}
			}
			if d := math.Abs(other.At.Y - p.Y); other.At.X == p.X && (down == nil || d < down.d) {
				down = &best{[2]scene.Pt{p, other.At}, d}
			}
		}
	}
	var lines [][2]scene.Pt
	for _, b := range []*best{across, down} {
		if b != nil {
			lines = append(lines, b.line)
		}
	}
	return lines
}

// symbolShapes draws one part alone, for a preview.
func symbolShapes(p components.Part) []scene.Shape {
	doc, err := components.NewDocument("").Apply(components.AddPart{Part: p})
	if err != nil {
		return nil
	}
	return scene.Draw(doc, scene.Options{}).Shapes
}
