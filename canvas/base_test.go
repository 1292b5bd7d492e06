package canvas

import (
	"bytes"
	"image"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/canvas/session"
	"rigline/components"
	"rigline/export/scene"
	"rigline/projects"
)

// What is drawn piece by piece is, to the last pixel, what is drawn whole.
func TestPiecesMakeTheWholePicture(t *testing.T) {
	h := newHand(t)
	s, _ := projects.FindSample("bus-50a")
	h.s.Start(s.Document())
	h.settle()
	w, hh := int(h.board.Size().Width), int(h.board.Size().Height)
	same := func(what string) {
		t.Helper()
		pieces := bytes.Clone(h.board.paint(w, hh).(*image.RGBA).Pix)
		h.board.base.img = nil
		whole := h.board.paint(w, hh).(*image.RGBA).Pix
		n := 0
		for i := 0; i < len(whole); i += 4 {
			if !bytes.Equal(whole[i:i+4], pieces[i:i+4]) {
				n++
			}
		}
		assert.Zero(t, n, "%s: so many pixels differ", what)
	}
	same("at first")
	h.s.Pan(37, -21)
	same("panned right and up")
	h.s.Pan(-113, 64)
	same("panned left and down")
	h.s.Pan(-3000, 0)
	same("panned far")
	h.s.Fit()
	same("fitted")
	p := h.s.Doc().Parts()[3]
	at := func(dx float64) session.Pointer {
		return session.Pointer{At: scene.Pt{X: float64(p.At.X) + dx, Y: float64(p.At.Y)}, Reach: 4}
	}
	h.s.Press(at(0))
	h.s.Drag(at(60))
	same("a part taken up")
	h.s.Drag(at(90))
	same("and moved")
	h.s.Release(at(90))
	same("put down")
	h.settle()
	same("checked")
	require.NoError(t, h.s.Do("Rename", components.Describe{ID: p.ID, Name: "Another name"}))
	same("named")
	h.settle()
	same("checked again")
	h.s.Undo()
	same("taken back")
}

// A large rig is patched at once and drawn whole from behind.
func TestALargeRigIsPatchedMeanwhile(t *testing.T) {
	h := newHand(t)
	var edits []components.Edit
	for i := range 120 {
		p := session.NewPart(h.s.Doc(), &components.Fuse)
		p.ID = components.ID("F" + itoa(i+1))
		p.At = components.Point{X: 200 + i%12*120, Y: 200 + i/12*120}
		edits = append(edits, components.AddPart{Part: p})
		if i%12 > 0 {
			a, _ := components.ParsePortRef("F" + itoa(i) + ".load")
			b, _ := components.ParsePortRef("F" + itoa(i+1) + ".line")
			edits = append(edits, components.AddRun{Run: components.Run{ID: components.ID("W" + itoa(i)), From: a, To: b}})
		}
	}
	require.NoError(t, h.s.Do("Draw many", edits...))
	assert.Len(t, h.s.Sheet().Bodies, 120)
	assert.Len(t, h.s.Sheet().Paths, 110)
	h.settle()
	drawn := h.s.Sheet()
	require.NoError(t, h.s.Do("Move", components.MovePart{ID: "F5", At: components.Point{X: 700, Y: 230}}))
	quick := h.s.Sheet()
	assert.NotSame(t, drawn, quick)
	assert.Equal(t, drawn.Bodies["F5"].Min.Y+30, quick.Bodies["F5"].Min.Y)
	for _, w := range []components.ID{"W4", "W5"} {
		path := quick.Paths[w]
		assert.NotEqual(t, drawn.Paths[w], path, "its runs follow")
	}
	assert.Equal(t, drawn.Paths["W9"], quick.Paths["W9"])
	h.settle()
	whole := h.s.Sheet()
	assert.NotSame(t, quick, whole)
	assert.Equal(t, quick.Bodies["F5"], whole.Bodies["F5"], "the patch had it in its place")
	h.s.Undo()
	assert.Equal(t, drawn.Bodies["F5"], h.s.Sheet().Bodies["F5"])
	require.NoError(t, h.s.Do("Delete", h.s.Doc().Delete("F5")...))
	assert.NotContains(t, h.s.Sheet().Bodies, components.ID("F5"))
	assert.NotContains(t, h.s.Sheet().Paths, components.ID("W5"))
}

func itoa(n int) string { return components.Num(float64(n)).String() }
