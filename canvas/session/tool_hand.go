package session

import (
	"fmt"
	"strings"

	"rigline/components"
	"rigline/export/scene"
)

// Hand is the tool at rest: it selects, moves parts, bends runs, draws runs from
// ports and spans a band over empty paper.
type Hand struct {
	over  Hit
	at    scene.Pt
	doing gesture
}

// gesture is one press with what follows until the release.
type gesture interface {
	drag(s *Session, p Pointer)
	release(s *Session, p Pointer)
	preview(s *Session) Preview
}

func (h *Hand) busy() bool { return h.doing != nil }

// Hover notes what is under the pointer.
func (h *Hand) Hover(s *Session, p Pointer) { h.over, h.at = s.Hit(p), p.At }

// Press begins a gesture by what is under the pointer.
func (h *Hand) Press(s *Session, p Pointer) {
	if s.told.Text != "" && s.told.Mood == Plain { // what was said of the thing before
		s.Tell(Plain, "")
	}
	h.at = p.At
	h.over = s.Hit(p)
	hit := h.over
	if run, grip, ok := s.gripAt(p); ok {
		h.doing = newBend(s, run, grip)
		return
	}
	switch {
	case hit.Mark > 0:
		s.ShowFinding(hit.Mark)
	case hit.Port.Part != "":
		h.doing = newStroke(s, hit)
	case hit.Part != "":
		h.doing = newCarry(s, hit.Part, p)
	case hit.Run != "":
		s.pick(hit.Run, p.Shift)
		if !p.Shift {
			if g, ok := newShift(s, hit.Run, p); ok {
				h.doing = g
			}
		}
	case hit.Note != "":
		s.pick(hit.Note, p.Shift)
		if i, ok := s.NoteOf(hit.Note); ok && !p.Shift {
			h.doing = &slide{i: i, note: s.Doc().Notes[i], start: p.At}
		}
	default:
		h.doing = &band{from: p.At, to: p.At, before: s.selected, add: p.Shift}
	}
}

// pick selects what was pressed, or with shift adds it to the selection.
func (s *Session) pick(id components.ID, shift bool) {
	if shift {
		s.Toggle(id)
	} else {
		s.Select(id)
	}
}

// Drag goes on with the gesture.
func (h *Hand) Drag(s *Session, p Pointer) {
	h.at = p.At
	if h.doing != nil {
		h.doing.drag(s, p)
	}
}

// Release ends the gesture.
func (h *Hand) Release(s *Session, p Pointer) {
	g := h.doing
	h.doing = nil
	if g != nil {
		g.release(s, p)
	}
	h.Hover(s, p)
}

// Cancel drops the gesture.
func (h *Hand) Cancel(*Session) { h.doing = nil }

// Preview shows the gesture, or what the pointer would take.
func (h *Hand) Preview(s *Session) Preview {
	if h.doing != nil {
		return h.doing.preview(s)
	}
	v := Preview{Over: h.over.ID(), HintAt: h.at, Grips: s.grips(), Ports: s.landings(h.over.Part)}
	switch {
	case h.over.Port.Part != "":
		v.Cursor = Cross
		v.Lights = []Light{{At: h.over.At, OK: true, Aim: true}}
		v.Hint = s.portText(h.over.Port)
	case h.over.Mark > 0:
		v.Cursor = Grip
		if f, ok := s.Finding(h.over.Mark); ok {
			v.Hint = fmt.Sprintf("%d  %s at %s\n%s", h.over.Mark, f.Level, f.At, f.Message)
		}
	case h.over.Note != "":
		v.Cursor = Grip
	case !h.over.Empty():
		v.Cursor = Grip
		v.Hint, v.Calm = s.hintOf(h.over.ID()), true
	}
	return v
}

// landings are the places of a part at which a run may begin.
func (s *Session) landings(id components.ID) (at []scene.Pt) {
	if id == "" {
		return nil
	}
	for _, port := range s.Sheet().Ports {
		if port.Ref.Part == id {
			at = append(at, port.At)
		}
	}
	return at
}

// hintOf tells what a part or run is called and what is found there.
func (s *Session) hintOf(id components.ID) string {
	lines := []string{s.Sheet().Names[string(id)]}
	if live, ok := s.Live(); ok {
		lines = append(lines, live.of(id)...)
	}
	if report, current := s.Report(); current {
		for i, f := range report.Findings {
			if owner, _ := s.Owner(f.At); owner == id && f.Accepted == nil {
				lines = append(lines, fmt.Sprintf("%d  %s: %s", i+1, f.Level, f.Rule.Title))
			}
		}
	}
	if _, ok := s.Doc().Part(id); ok && len(s.Doc().RunsOf(id)) == 0 {
		lines = append(lines, "Drag from one of its rings to connect it")
	}
	const most = 7
	if len(lines) > most {
		lines = append(lines[:most-1], fmt.Sprintf("and %d more", len(lines)-most+1))
	}
	return strings.Join(lines, "\n")
}

// portText tells a port's address, poles and name.
func (s *Session) portText(ref components.PortRef) string {
	_, port, ok := s.Doc().Port(ref)
	if !ok {
		return ""
	}
	text := fmt.Sprintf("%s   %s", ref, polesText(port))
	if port.Title != "" && port.Title != port.Name {
		text += "   " + port.Title
	}
	return text
}

// band is a rubber band over empty paper.
type band struct {
	from, to scene.Pt
	before   []components.ID
	add      bool
}

func (b *band) drag(s *Session, p Pointer) {
	b.to = p.At
	s.Select(b.caught(s)...)
}

func (b *band) release(s *Session, p Pointer) {
	b.to = p.At
	if b.from == b.to && b.add {
		return
	}
	s.Select(b.caught(s)...)
}

func (b *band) box() scene.Box {
	return scene.Box{Min: scene.Pt{X: min(b.from.X, b.to.X), Y: min(b.from.Y, b.to.Y)}, Max: scene.Pt{X: max(b.from.X, b.to.X), Y: max(b.from.Y, b.to.Y)}}
}

// caught are the parts and runs that lie wholly in the band.
func (b *band) caught(s *Session) []components.ID {
	var ids []components.ID
	if b.add {
		ids = append(ids, b.before...)
	}
	box := b.box()
	in := func(p scene.Pt) bool {
		return p.X >= box.Min.X && p.X <= box.Max.X && p.Y >= box.Min.Y && p.Y <= box.Max.Y
	}
	sheet := s.Sheet()
	for id, body := range sheet.Bodies {
		if in(body.Min) && in(body.Max) {
			ids = append(ids, id)
		}
	}
	for id, path := range sheet.Paths {
		all := len(path) > 0
		for _, p := range path {
			all = all && in(p)
		}
		if all {
			ids = append(ids, id)
		}
	}
	return ids
}

func (b *band) preview(*Session) Preview {
	box := b.box()
	return Preview{Band: &box}
}
