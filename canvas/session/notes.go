package session

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"rigline/components"
	"rigline/export/scene"
)

// A mark-up has no tag, so it is selected under its address in the file:
// "notes.1" for the first. A tag holds no dot, so the two cannot be mistaken.
const notePrefix = "notes."

func noteID(i int) components.ID { return components.ID(notePrefix + strconv.Itoa(i+1)) }

// NoteOf is the place in the document's mark-ups that an ID stands for.
func (s *Session) NoteOf(id components.ID) (i int, ok bool) {
	text, ok := strings.CutPrefix(string(id), notePrefix)
	if !ok {
		return 0, false
	}
	n, err := strconv.Atoi(text)
	return n - 1, err == nil && n >= 1 && n <= len(s.Doc().Notes)
}

// boxOfNote is the area that a mark-up takes, its text measured about as the scene
// breaks it into lines.
func boxOfNote(n components.Note) scene.Box {
	at, to := pt(n.At), pt(n.To)
	const wide, lead = 220.0, scene.SmallHeight * 1.55
	w := scene.TextWidth(n.Text, scene.SmallHeight, false)
	text := scene.Box{Min: scene.Pt{X: at.X, Y: at.Y - scene.SmallHeight}, Max: scene.Pt{X: at.X + min(w, wide), Y: at.Y + lead*math.Max(0, math.Ceil(w/wide)-1) + 3}}
	if n.Form != "cloud" && n.Form != "arrow" {
		return text
	}
	box := scene.Box{Min: scene.Pt{X: min(at.X, to.X), Y: min(at.Y, to.Y)}, Max: scene.Pt{X: max(at.X, to.X), Y: max(at.Y, to.Y)}}
	return box
}

// noteAt is the mark-up under the pointer: a text, the edge of a cloud, an arrow.
func (s *Session) noteAt(p Pointer) (components.ID, bool) {
	for i := len(s.Doc().Notes) - 1; i >= 0; i-- {
		n := s.Doc().Notes[i]
		b := boxOfNote(n)
		switch n.Form {
		case "arrow":
			if _, d := nearestOn([]scene.Pt{pt(n.At), pt(n.To)}, p.At); d <= p.Reach {
				return noteID(i), true
			}
		case "cloud":
			edge := []scene.Pt{b.Min, {X: b.Max.X, Y: b.Min.Y}, b.Max, {X: b.Min.X, Y: b.Max.Y}, b.Min}
			if _, d := nearestOn(edge, p.At); d <= p.Reach {
				return noteID(i), true
			}
		default:
			if p.At.X >= b.Min.X && p.At.X <= b.Max.X && p.At.Y >= b.Min.Y && p.At.Y <= b.Max.Y {
				return noteID(i), true
			}
		}
	}
	return "", false
}

// SetNote changes one mark-up.
func (s *Session) SetNote(i int, n components.Note) error {
	notes := slices.Clone(s.Doc().Notes)
	if i < 0 || i >= len(notes) {
		return fmt.Errorf("there is no mark-up %d", i+1)
	}
	if notes[i] == n {
		return nil
	}
	label := "Move the " + n.Form
	if notes[i].Text != n.Text {
		label = "Change the text of the " + n.Form
	}
	notes[i] = n
	return s.Do(label, components.SetNotes{Notes: notes})
}

// Wish is a text that a gesture left to the person.
type Wish struct {
	Title string
	take  func(text string)
}

// Wish is the open wish for a text, nil where there is none.
func (s *Session) Wish() *Wish { return s.wish }

// Grant gives the text that was wished for; ok false gives none.
func (s *Session) Grant(text string, ok bool) {
	w := s.wish
	s.wish = nil
	if w != nil && ok {
		w.take(text)
	}
	s.changed(PreviewChanged)
}

// Markup draws a note, a cloud or an arrow.
type Markup struct {
	Form     string
	from, to scene.Pt
	down     bool
}

// Hover does nothing before the press.
func (m *Markup) Hover(*Session, Pointer) {}

// Press sets the first corner, the arrow's tail or the text's place.
func (m *Markup) Press(_ *Session, p Pointer) { m.from, m.to, m.down = p.At, p.At, true }

// Drag sets the second.
func (m *Markup) Drag(_ *Session, p Pointer) { m.to = p.At }

// Release asks for the text.
func (m *Markup) Release(s *Session, p Pointer) {
	m.to, m.down = p.At, false
	n := components.Note{Form: m.Form, At: onGrid(m.from)}
	if m.Form != "note" {
		n.To = onGrid(m.to)
		if n.To == n.At {
			s.Tell(Plain, "Drag from one end of the %s to the other", m.Form)
			return
		}
	}
	s.tool = &Hand{}
	s.wish = &Wish{Title: "Text of the " + m.Form, take: func(text string) {
		n.Text = strings.TrimSpace(text)
		if n.Text == "" && n.Form == "note" {
			return
		}
		if s.Do("Add a "+n.Form, components.SetNotes{Notes: append(slices.Clone(s.Doc().Notes), n)}) == nil {
			s.Select(noteID(len(s.Doc().Notes) - 1))
		}
	}}
}

// Cancel drops the mark-up.
func (m *Markup) Cancel(*Session) { m.down = false }

// Preview shows where it would lie.
func (m *Markup) Preview(*Session) Preview {
	v := Preview{Cursor: Cross}
	if !m.down || m.Form == "note" {
		return v
	}
	if m.Form == "cloud" {
		b := (&band{from: m.from, to: m.to}).box()
		v.Band = &b
		return v
	}
	v.Shapes = []scene.Shape{{Layer: scene.NoteLayer, Form: scene.Polyline, Role: scene.Advice, Weight: components.Wide, Pts: []scene.Pt{m.from, m.to}}}
	return v
}

// slide moves a mark-up.
type slide struct {
	i     int
	note  components.Note
	start scene.Pt
	by    components.Point
}

func (g *slide) drag(_ *Session, p Pointer) {
	to := onGrid(scene.Pt{X: p.At.X - g.start.X, Y: p.At.Y - g.start.Y})
	g.by = to
}

func (g *slide) release(s *Session, p Pointer) {
	g.drag(s, p)
	n := g.note
	n.At = n.At.Add(g.by)
	if n.Form != "note" {
		n.To = n.To.Add(g.by)
	}
	_ = s.SetNote(g.i, n)
}

func (g *slide) preview(*Session) Preview {
	if g.by == (components.Point{}) {
		return Preview{Cursor: Grip}
	}
	b := boxOfNote(g.note)
	by := pt(g.by)
	b.Min, b.Max = scene.Pt{X: b.Min.X + by.X, Y: b.Min.Y + by.Y}, scene.Pt{X: b.Max.X + by.X, Y: b.Max.Y + by.Y}
	return Preview{Cursor: Grip, Band: &b}
}
