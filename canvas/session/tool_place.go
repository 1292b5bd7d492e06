package session

import (
	"fmt"

	"rigline/components"
	"rigline/export/scene"
)

// Place puts a part of a kind on the sheet where the pointer goes, or into the run
// under it.
type Place struct {
	Kind *components.Kind
	part components.Part
	into fitting
	fits bool
	seen bool // the pointer has been on the sheet
}

// NewPlace holds a part of the kind, ready to be put down.
func NewPlace(k *components.Kind) *Place { return &Place{Kind: k} }

// Hover brings the part to the pointer.
func (t *Place) Hover(s *Session, p Pointer) {
	t.part = NewPart(s.Doc(), t.Kind)
	t.part.At = onGrid(p.At)
	t.into, t.fits = s.landing(t.part, p.At, p.Reach)
	t.seen = true
}

// Press brings the part to the pointer.
func (t *Place) Press(s *Session, p Pointer) { t.Hover(s, p) }

// Drag brings the part to the pointer.
func (t *Place) Drag(s *Session, p Pointer) { t.Hover(s, p) }

// Release puts the part down. With shift the tool stays in the hand.
func (t *Place) Release(s *Session, p Pointer) {
	t.Hover(s, p)
	part := t.part
	label := "Add " + string(part.ID)
	edits := []components.Edit{}
	if t.fits {
		part = t.into.part
		label = fmt.Sprintf("Fit %s in %s", part.ID, t.into.run.ID)
		edits = append(edits, components.AddPart{Part: part})
		edits = append(edits, t.into.edits(s.Doc())...)
	} else {
		edits = append(edits, components.AddPart{Part: part})
	}
	if s.Do(label, edits...) != nil {
		return
	}
	s.Select(part.ID)
	if t.fits {
		s.tellSplit(t.into)
	} else {
		s.Tell(Plain, "%s %s: tell its figures in the details", part.ID, part.Kind.Title)
	}
	if !p.Shift {
		s.tool = &Hand{}
	}
}

// Cancel takes the part off the pointer.
func (t *Place) Cancel(*Session) { t.seen = false }

// Preview shows the part at the pointer.
func (t *Place) Preview(*Session) Preview {
	if !t.seen {
		return Preview{Cursor: Cross}
	}
	v := Preview{Cursor: Cross, HintAt: scene.Pt{X: float64(t.part.At.X), Y: float64(t.part.At.Y)}}
	if t.fits {
		v.Shapes = symbolShapes(t.into.part)
		v.Over = t.into.run.ID
		v.Hint = fmt.Sprintf("fit %s in %s", t.into.part.ID, t.into.run.ID)
		return v
	}
	v.Shapes = symbolShapes(t.part)
	return v
}

// NewPart is a part of a kind with a free tag. What must be told of it is told to
// be unknown, or, where it decides the terminals, is the first of the choices.
func NewPart(doc *components.Document, k *components.Kind) components.Part {
	p := components.Part{ID: doc.FreeID(k.Prefix), Kind: k}
	for _, f := range k.Fields {
		switch {
		case !f.Required:
		case f.Shapes && len(f.Choices) > 0:
			p.Spec = p.Spec.With(f.Key, components.Str(f.Choices[0]))
		case f.Shapes && len(f.OneOf) > 0:
			p.Spec = p.Spec.With(f.Key, components.Num(f.OneOf[0]))
		case f.Shapes && f.Type == components.Number:
			p.Spec = p.Spec.With(f.Key, components.Num(f.Min))
		default:
			p.Spec = p.Spec.With(f.Key, components.Unknown)
		}
	}
	return suited(doc, p)
}

// suited takes from the rig's one site supply what a new part's terminals follow
// from: an inlet of its rating, a panel and a protector with its legs. With several
// supplies, or none, the first choice stands.
func suited(doc *components.Document, p components.Part) components.Part {
	service := ""
	for _, o := range doc.Parts() {
		if o.Kind == &components.Shore && !o.Gone() {
			if service != "" {
				return p
			}
			service = o.Word("service")
		}
	}
	if service == "" {
		return p
	}
	legs := 1.0
	if components.ThreeWire(service) {
		legs = 2
	}
	with := func(key string, v float64) {
		if f, ok := p.Kind.Field(key); ok && f.Check(components.Num(v)) == nil {
			p.Spec = p.Spec.With(key, components.Num(v))
		}
	}
	switch p.Kind {
	case &components.Inlet, &components.SurgeProtector:
		with("rating_a", components.ServiceAmps(service))
	case &components.Panel:
		if f, ok := p.Kind.Field("legs"); ok && f.Default.Num() != legs {
			with("legs", legs)
		}
	}
	return p
}

// PlaceInView puts the part in the hand down without a pointer: in the middle of
// the window, or beside it where something lies there.
func (s *Session) PlaceInView() {
	t, ok := s.tool.(*Place)
	if !ok {
		return
	}
	middle := s.View.ToSheet(s.View.W/2, s.View.H/2)
	const step = 8 * components.Module
	for ring := 0; ; ring++ {
		for dx := -ring; dx <= ring; dx++ {
			for dy := -ring; dy <= ring; dy++ {
				if max(dx, -dx, dy, -dy) != ring {
					continue
				}
				at := scene.Pt{X: middle.X + float64(dx*step), Y: middle.Y + float64(dy*step)}
				if ring < 30 && !s.clear(at, step/2) {
					continue
				}
				t.Release(s, Pointer{At: at})
				s.changed(PreviewChanged)
				return
			}
		}
	}
}

// clear tells whether no part and no run lies within reach of a place.
func (s *Session) clear(at scene.Pt, reach float64) bool {
	for _, b := range s.Sheet().Bodies {
		if at.X > b.Min.X-reach && at.X < b.Max.X+reach && at.Y > b.Min.Y-reach && at.Y < b.Max.Y+reach {
			return false
		}
	}
	_, near := s.runNear(at, reach)
	return !near
}
