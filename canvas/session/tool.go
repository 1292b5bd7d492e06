package session

import (
	"rigline/components"
	"rigline/export/scene"
)

// Tool turns presses and drags on the sheet into a preview and, at the end, edits.
type Tool interface {
	Hover(s *Session, p Pointer)   // the pointer moves, nothing held
	Press(s *Session, p Pointer)   // the button goes down
	Drag(s *Session, p Pointer)    // the pointer moves with the button down
	Release(s *Session, p Pointer) // the button comes up
	Cancel(s *Session)             // what is under way is dropped
	Preview(s *Session) Preview
}

// Cursor is the form that the pointer takes.
type Cursor int

// The forms.
const (
	Arrow Cursor = iota
	Cross        // a run may start, or a part is being placed
	Grip         // something may be taken
)

// Light is a port that is lit while a run is drawn.
type Light struct {
	At  scene.Pt
	OK  bool
	Aim bool // the pointer is on it
}

// Preview is what a tool shows above the sheet.
type Preview struct {
	Hide   map[components.ID]bool // parts and runs that Shapes stand in for
	Shapes []scene.Shape
	Lights []Light
	Ports  []scene.Pt             // where a run may begin
	Band   *scene.Box             // a rubber band
	Guides [][2]scene.Pt          // what lines up
	Over   components.ID          // what the gesture would act on
	Lit    map[components.ID]bool // what a repair would change or add
	Away   map[components.ID]bool // what it would take out
	Hint   string                 // beside the pointer
	HintAt scene.Pt               // where
	Wrong  bool                   // the hint says why not
	Calm   bool                   // the hint waits until the pointer rests
	Cursor Cursor                 // the pointer's form
	Grips  []scene.Pt             // places where a selected run may be bent
}

// Tool is the tool in the hand.
func (s *Session) Tool() Tool { return s.tool }

// Take puts a tool in the hand.
func (s *Session) Take(t Tool) {
	s.tool.Cancel(s)
	s.tool = t
	s.changed(PreviewChanged)
}

// Press, Drag, Release and Hover hand the pointer to the tool.
func (s *Session) Press(p Pointer) { s.tool.Press(s, p); s.changed(PreviewChanged) }

// Drag moves the pointer with the button down.
func (s *Session) Drag(p Pointer) { s.tool.Drag(s, p); s.changed(PreviewChanged) }

// Release lets the button go.
func (s *Session) Release(p Pointer) { s.tool.Release(s, p); s.changed(PreviewChanged) }

// Hover moves the pointer. Over the same thing as before it changes nothing.
func (s *Session) Hover(p Pointer) {
	h, resting := s.tool.(*Hand)
	var before Hit
	if resting {
		before = h.over
	}
	s.tool.Hover(s, p)
	if !resting || h.over != before {
		s.changed(PreviewChanged)
	}
}

// Escape drops what is under way, then the tool, then the selection.
func (s *Session) Escape() {
	if s.question != nil {
		s.Answer(-1)
		return
	}
	if h, ok := s.tool.(*Hand); ok {
		if h.busy() {
			h.Cancel(s)
		} else if s.checks.fault.What != NoMishap {
			s.Suppose(Fault{})
		} else {
			s.Select()
		}
	} else {
		s.Take(&Hand{})
	}
	s.changed(PreviewChanged)
}

// Preview is what the tool shows now.
func (s *Session) Preview() Preview {
	if s.tryout != nil {
		return *s.tryout
	}
	return s.tool.Preview(s)
}
