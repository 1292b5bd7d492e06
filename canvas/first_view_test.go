package canvas

import (
	"image"
	"path/filepath"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/canvas/session"
	"rigline/components"
	"rigline/export/scene"
	"rigline/projects"
)

// rigs are all samples, sound and broken, and the fifteen usual arrangements.
func rigs(t *testing.T) (all []*components.Document) {
	t.Helper()
	for _, s := range append(projects.Samples(), projects.BrokenSamples()...) {
		all = append(all, s.Document())
	}
	files, err := filepath.Glob("../testdata/topologies/*.yaml")
	require.NoError(t, err)
	require.Len(t, files, 15)
	for _, f := range files {
		doc, _, err := projects.Load(f)
		require.NoError(t, err)
		all = append(all, doc)
	}
	return all
}

// screens are the least and a usual size of the screen; one of them where time is short.
func screens() []fyne.Size {
	if testing.Short() {
		return []fyne.Size{{Width: 1280, Height: 720}}
	}
	return []fyne.Size{{Width: 1280, Height: 720}, {Width: 1920, Height: 1080}}
}

// onScreens calls look with every rig on a window of every size.
func onScreens(t *testing.T, look func(h *hand, size fyne.Size, doc *components.Document)) {
	for _, size := range screens() {
		h := newHand(t)
		h.win.Resize(size)
		h.setSplits(size)
		for _, doc := range rigs(t) {
			h.s.Start(doc)
			look(h, size, doc)
		}
	}
}

// A rig that is opened is seen whole, with every word and every mark that stands
// beside it, when its findings have come too. Where the whole sheet is nearly as large as
// the drawing alone would be, the sheet is seen whole.
func TestAFirstViewCutsNothingOff(t *testing.T) {
	onScreens(t, func(h *hand, size fyne.Size, doc *components.Document) {
		h.settle()
		v := h.s.View
		for _, sh := range h.s.Sheet().Shapes {
			if sh.Layer == scene.FrameLayer {
				continue
			}
			b := sh.Box()
			x0, y0 := v.ToWindow(b.Min)
			x1, y1 := v.ToWindow(b.Max)
			assert.True(t, x0 >= 0 && y0 >= 0 && x1 <= v.W && y1 <= v.H, "%v, %s: %s is cut off by the window", size, doc.Title, sh)
		}
		paper := h.s.Sheet().Paper
		x0, y0 := v.ToWindow(paper.Min)
		x1, y1 := v.ToWindow(paper.Max)
		if x0 < 0 || y0 < 0 || x1 > v.W || y1 > v.H {
			h.s.Fit()
			assert.Less(t, h.s.View.Zoom, 0.8*v.Zoom, "%v, %s: the sheet is cut off for little", size, doc.Title)
		}
	})
}

// The plates of a chosen state, as where neutral and ground meet, cover no word and no
// symbol of the sheet and not each other, and none is cut off by the window.
func TestPlatesCoverNoWords(t *testing.T) {
	onScreens(t, func(h *hand, size fyne.Size, doc *components.Document) {
		for _, state := range doc.Operating()[:min(2, len(doc.Operating()))] {
			h.s.ChooseState(state.Name)
			h.settle()
			live, ok := h.s.Live()
			require.True(t, ok)
			v := h.s.View
			p := newPainter(image.NewRGBA(image.Rect(0, 0, int(v.W), int(v.H))), v.At, v.Zoom, scene.OnWhite)
			laid := h.board.plates(p, live.Tags, 11.5, 3, 2)
			for i, at := range laid {
				assert.Zero(t, p.words(h.s.Drawing(), at), "%v, %s, %s: %s covers words", size, doc.Title, state.Name, live.Tags[i].Text)
				assert.Zero(t, p.bodies(h.s.Drawing(), at), "%v, %s, %s: %s covers a symbol", size, doc.Title, state.Name, live.Tags[i].Text)
				assert.True(t, at.x0 >= 0 && at.y0 >= 0 && at.x1 <= v.W && at.y1 <= v.H, "%v, %s, %s: %s is cut off", size, doc.Title, state.Name, live.Tags[i].Text)
				for _, o := range laid[:i] {
					assert.False(t, at.meets(o), "%v, %s, %s: two plates meet", size, doc.Title, state.Name)
				}
			}
		}
	})
}

// A part stays where it was put down: the paper does not move to have the drawing in its
// middle while a person draws it.
func TestPartsStayWhereTheyArePutDown(t *testing.T) {
	h := newHand(t)
	for i, at := range []fyne.Position{{X: 90, Y: 230}, {X: 160, Y: 230}, {X: 700, Y: 230}, {X: 250, Y: 430}} {
		kind := []string{"shore", "inlet", "panel", "battery"}[i]
		h.fromShelf(kind, h.s.View.ToSheet(float64(at.X), float64(at.Y)))
		h.settle()
		h.s.Sheet()
		p := h.s.Doc().Parts()[0]
		for _, q := range h.s.Doc().Parts() {
			if q.Kind.ID == kind {
				p = q
			}
		}
		x, y := h.s.View.ToWindow(session.Centre(p))
		assert.InDelta(t, at.X, x, 25, "%s", kind)
		assert.InDelta(t, at.Y, y, 25, "%s", kind)
	}
}
