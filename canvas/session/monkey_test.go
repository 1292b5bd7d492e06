package session

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/scene"
	"rigline/projects"
)

// Whatever a hand does, the document can be written and read back, and undoing it
// all leads to where it began.
func TestARestlessHand(t *testing.T) {
	for seed := range uint64(2) {
		r := rand.New(rand.NewPCG(seed, 7))
		s := New(func(func()) {}, nil)
		s.Resize(1000, 700)
		s.Start(sample(t, "trailer-30a"))
		first := s.Doc()
		where := func() Pointer {
			p := at(float64(r.IntN(1100)), float64(r.IntN(700)))
			switch r.IntN(3) {
			case 0:
				ports := s.Sheet().Ports
				if len(ports) > 0 {
					p.At = ports[r.IntN(len(ports))].At
				}
			case 1:
				if parts := s.Doc().Parts(); len(parts) > 0 {
					p.At = pt(parts[r.IntN(len(parts))].At)
				}
			}
			p.Shift = r.IntN(6) == 0
			return p
		}
		for range 60 {
			switch r.IntN(16) {
			case 0, 1, 2, 3, 4, 5:
				a, b := where(), where()
				s.Hover(a)
				s.Press(a)
				s.Drag(halfway(a, b))
				s.Preview()
				s.Drag(b)
				s.Preview()
				if r.IntN(8) == 0 {
					s.Escape()
				}
				s.Release(b)
				if q := s.Question(); q != nil {
					s.Answer(r.IntN(len(q.Choices)+1) - 1)
				}
				if s.Wish() != nil {
					s.Grant("text", r.IntN(2) == 0)
				}
			case 6:
				s.Take(NewPlace(components.Catalog[r.IntN(len(components.Catalog))]))
			case 7:
				s.Take(&Markup{Form: []string{"note", "cloud", "arrow"}[r.IntN(3)]})
			case 8:
				s.Turn()
			case 9:
				if len(s.Doc().Parts()) < 50 {
					s.Duplicate()
				}
			case 10:
				if r.IntN(3) == 0 {
					s.Delete()
				}
			case 11:
				s.Undo()
			case 12:
				s.Redo()
			case 13:
				s.Align(Edge(r.IntN(6)))
			case 14:
				s.Distribute(r.IntN(2) == 0)
			case 15:
				s.SelectAll()
				s.Nudge(r.IntN(3)-1, r.IntN(3)-1)
				s.Select()
			}
			s.Preview()
		}
		data := projects.Write(s.Doc())
		back, _, err := projects.Read("hand.yaml", data)
		require.NoError(t, err, "seed %d", seed)
		assert.Equal(t, string(data), string(projects.Write(back)), "seed %d", seed)
		for s.UndoLabel() != "" {
			s.Undo()
		}
		assert.Same(t, first, s.Doc())
	}
}

func halfway(a, b Pointer) Pointer {
	b.At = scene.Pt{X: (a.At.X + b.At.X) / 2, Y: (a.At.Y + b.At.Y) / 2}
	return b
}
