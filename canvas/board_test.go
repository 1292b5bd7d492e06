package canvas

import (
	"fyne.io/fyne/v2/container"
	"testing"

	"fyne.io/fyne/v2"
	fynecanvas "fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"

	"rigline/canvas/session"
	"rigline/components"
	"rigline/export/scene"
	"rigline/projects"
)

func TestKeysOnTheSheet(t *testing.T) {
	h := newHand(t)
	h.s.ZoomTo(1)
	id := h.fromShelf("fuse", h.s.View.ToSheet(300, 300))
	h.win.Canvas().Focus(h.board)
	h.board.TypedRune('r')
	p, _ := h.s.Doc().Part(id)
	assert.Equal(t, 90, p.Turn)
	h.board.TypedKey(&fyne.KeyEvent{Name: fyne.KeyRight})
	q, _ := h.s.Doc().Part(id)
	assert.Equal(t, p.At.X+components.Module, q.At.X)
	h.board.TypedKey(&fyne.KeyEvent{Name: fyne.KeyDelete})
	assert.Empty(t, h.s.Doc().Parts())
	h.s.Undo()
	assert.Len(t, h.s.Doc().Parts(), 1)
}

func TestPanAndZoomOnTheSheet(t *testing.T) {
	h := newHand(t)
	h.s.ZoomTo(1)
	origin := h.s.View.At
	mid := h.app.Driver().AbsolutePositionForObject(h.board).AddXY(300, 300)
	h.dragWith(mid, mid.AddXY(50, -20), desktop.MouseButtonTertiary, 0)
	assert.InDelta(t, origin.X-50, h.s.View.At.X, 0.5)
	assert.InDelta(t, origin.Y+20, h.s.View.At.Y, 0.5)
	h.board.KeyDown(&fyne.KeyEvent{Name: fyne.KeySpace})
	h.drag(mid, mid.AddXY(-50, 20))
	h.board.KeyUp(&fyne.KeyEvent{Name: fyne.KeySpace})
	assert.InDelta(t, origin.X, h.s.View.At.X, 0.5)
	under := h.s.View.ToSheet(100, 100)
	h.board.Scrolled(&fyne.ScrollEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(100, 100)}, Scrolled: fyne.NewDelta(0, 25)})
	assert.InDelta(t, session.ZoomStep, h.s.View.Zoom, 1e-9)
	assert.InDelta(t, under.X, h.s.View.ToSheet(100, 100).X, 1e-6)
	assert.Equal(t, "125 %", h.zoom.Text)
}

func TestClickThenPlaceAndEscape(t *testing.T) {
	h := newHand(t)
	h.s.ZoomTo(1)
	h.shelf.search.SetText("battery")
	test.Tap(h.shelf.items[0])
	h.click(h.where(h.s.View.ToSheet(250, 250)))
	assert.Len(t, h.s.Doc().Parts(), 1)
	test.Tap(h.shelf.items[0])
	h.board.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	h.click(h.where(h.s.View.ToSheet(450, 250)))
	assert.Len(t, h.s.Doc().Parts(), 1)
}

func TestBothLooksDrawTheSheet(t *testing.T) {
	h := newHand(t)
	s, _ := projects.FindSample("van-12v")
	h.s.Start(s.Document())
	for _, look := range []Look{Light, Dark} {
		h.setLook(look)
		want := scene.OnWhite[scene.Paper]
		if look == Dark {
			want = scene.OnDark[scene.Paper]
		}
		img := h.board.paint(800, 600)
		n := 0
		for y := range 600 {
			for x := range 800 {
				r, g, b, _ := img.At(x, y).RGBA()
				if uint8(r>>8) == want.R && uint8(g>>8) == want.G && uint8(b>>8) == want.B {
					n++
				}
			}
		}
		assert.Greater(t, n, 100_000, "%s: most of the picture is paper", look)
	}
	fynecanvas.Refresh(h.board)
}

func BenchmarkPaintWholeSheet(b *testing.B) {
	a := test.NewApp()
	defer a.Quit()
	e := New(a, func(func()) {}, nil)
	s, _ := projects.FindSample("bus-50a")
	e.s.Start(s.Document())
	e.s.Resize(1200, 800)
	e.board.Resize(fyne.NewSize(1200, 800))
	for b.Loop() {
		e.board.base.img = nil
		e.board.paint(1200, 800)
	}
}

func BenchmarkPaintWhileDragging(b *testing.B) {
	a := test.NewApp()
	defer a.Quit()
	e := New(a, func(func()) {}, nil)
	s, _ := projects.FindSample("bus-50a")
	e.s.Start(s.Document())
	e.s.Resize(1200, 800)
	e.board.Resize(fyne.NewSize(1200, 800))
	p := e.s.Doc().Parts()[0]
	at := session.Pointer{At: scene.Pt{X: float64(p.At.X), Y: float64(p.At.Y)}, Reach: 6}
	e.s.Press(at)
	for b.Loop() {
		at.At.X += 10
		e.s.Drag(at)
		e.board.paint(1200, 800)
	}
}

// The picture has the pixels that it is laid on, from one rounded edge to the other, and
// not those of its own rounded size.
func TestThePictureHasThePixelsItIsLaidOn(t *testing.T) {
	h := newHand(t)
	box := container.NewWithoutLayout(h.board)
	w := test.NewTempWindow(t, box)
	w.SetPadded(false)
	w.Resize(fyne.NewSize(400, 300))
	h.board.Resize(fyne.NewSize(200.6, 100.4))
	h.board.Move(fyne.NewPos(0.7, 0.2))
	wide, high := h.board.pixels(201, 100)
	assert.Equal(t, []int{200, 101}, []int{wide, high}, "from 1 to 201, and from 0 to 101")
}

func TestAPaperThatGrowsTakesThePictureAlong(t *testing.T) {
	h := newHand(t)
	h.s.Fit()
	paint := func() { h.board.paint(h.board.pixels(800, 600)) }
	paint()
	before := h.s.View
	part := session.NewPart(h.s.Doc(), &components.Battery)
	part.At = components.Point{X: 400, Y: int(h.s.Sheet().Paper.Max.Y)/10*10 + 200}
	assert.NoError(t, h.s.Do("Added a battery below the paper", components.AddPart{Part: part}))
	paint()
	assert.NotEqual(t, before, h.s.View, "the paper makes room")
	assert.Equal(t, h.s.View.At, h.board.base.look.view.At, "the picture lies where the hand meets its parts")
	assert.Equal(t, h.s.View.Zoom, h.board.base.look.view.Zoom)
}
