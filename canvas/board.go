package canvas

import (
	"image"
	"image/color"
	"math"
	"time"

	"fyne.io/fyne/v2"
	fynecanvas "fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"rigline/canvas/session"
	"rigline/export/scene"
)

// Board is the sheet in the window: one widget, with its own idea of what a
// pointer meets.
type Board struct {
	widget.BaseWidget

	s       *session.Session
	menu    func(at fyne.Position) // the menu of the secondary button
	key     func(*fyne.KeyEvent) bool
	rune    func(rune) bool
	wheel   func() bool // whether the wheel zooms
	twice   func()      // two presses on one thing
	post    func(func())
	moves   int  // how often the pointer has moved
	rests   bool // it has stayed where it is for a moment
	raster  *fynecanvas.Raster
	base    base
	out     *image.RGBA // the last picture
	paints  int         // how many there were
	painted func(time.Duration)

	pressed  bool
	double   bool
	panning  bool
	space    bool
	shift    bool
	last     fyne.Position
	lastDown time.Time
	downAt   fyne.Position
	focused  bool
	shade    shading
	bare     bool // something else tells how to begin
}

// NewBoard shows a session's sheet. Post brings a function to the window's goroutine.
func NewBoard(s *session.Session, post func(func())) *Board {
	b := &Board{s: s, post: post, wheel: func() bool { return true }}
	b.raster = fynecanvas.NewRaster(func(w, h int) image.Image { return b.paint(b.pixels(w, h)) })
	b.raster.ScaleMode = fynecanvas.ImageScalePixels // it comes at the size it is shown in
	b.ExtendBaseWidget(b)
	s.Watch(func(c session.Change) {
		if c&^(session.ToldChanged|session.FileChanged) != 0 {
			b.Refresh()
		}
	})
	return b
}

// CreateRenderer shows the one picture.
func (b *Board) CreateRenderer() fyne.WidgetRenderer { return &boardRenderer{b} }

type boardRenderer struct{ b *Board }

func (r *boardRenderer) Layout(size fyne.Size) {
	r.b.s.Resize(float64(size.Width), float64(size.Height))
	r.b.raster.Resize(size)
}

func (r *boardRenderer) MinSize() fyne.Size           { return fyne.NewSize(240, 160) }
func (r *boardRenderer) Refresh()                     { fynecanvas.Refresh(r.b.raster) }
func (r *boardRenderer) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.b.raster} }
func (r *boardRenderer) Destroy()                     {}

// dark tells whether the window is in its dark theme.
func dark() bool {
	r, g, b, _ := theme.Color(theme.ColorNameBackground).RGBA()
	return r+g+b < 3*0x8000
}

func sheetColours() scene.Colours {
	if dark() {
		return scene.OnDark
	}
	return scene.OnWhite
}

// pixels is how many pixels of the screen the picture covers. The toolkit asks for a
// picture of the widget's rounded size and lays it from one rounded edge to the other,
// which may be a pixel more or less: letters would lose a row.
func (b *Board) pixels(w, h int) (int, int) {
	c := fyne.CurrentApp().Driver().CanvasForObject(b.raster)
	size := b.raster.Size()
	if c == nil || size.Width < 1 || size.Height < 1 || c.Scale() <= 0 {
		return w, h
	}
	at := fyne.CurrentApp().Driver().AbsolutePositionForObject(b.raster)
	scale := float64(c.Scale())
	scale *= math.Max(1, math.Round(float64(w)/float64(size.Width)/scale)) // a screen with more pixels than it tells
	across := func(from, long float32) int {
		return int(math.Round(float64(from+long)*scale) - math.Round(float64(from)*scale))
	}
	return across(at.X, size.Width), across(at.Y, size.Height)
}

// paint draws the picture of w by h pixels. It is the toolkit's until the next.
func (b *Board) paint(w, h int) image.Image {
	b.paints++
	begun := time.Now()
	defer func() {
		if b.painted != nil {
			b.painted(time.Since(begun))
		}
	}()
	w, h = max(w, 1), max(h, 1)
	if b.out == nil || b.out.Rect.Dx() != w || b.out.Rect.Dy() != h {
		b.out = image.NewRGBA(image.Rect(0, 0, w, h))
	}
	if b.Size().Width <= 0 {
		return b.out
	}
	scale := float64(w) / float64(b.Size().Width)
	b.s.Sheet() // a paper that has grown moves the view, which everything below is drawn by
	preview := b.s.Preview()
	b.base.draw(b, look{w: w, h: h, scale: scale, dark: dark(), view: b.s.View}, preview)
	copy(b.out.Pix, b.base.img.Pix)
	p := newPainter(b.out, b.s.View.At, b.s.View.Zoom*scale, sheetColours())
	b.overlay(p, preview, scale)
	return b.out
}

// desk draws the desk, the paper on it and the grid on the paper.
func (p *painter) desk(paper scene.Box) {
	back, sheet, thin, thick := color.RGBA{0xd9, 0xdb, 0xdf, 0xff}, over(p.colours[scene.Paper], p.colours[scene.Paper]), color.RGBA{0xf1, 0xf3, 0xf5, 0xff}, color.RGBA{0xe3, 0xe6, 0xea, 0xff}
	if p.colours[scene.Paper].R < 0x80 {
		back, thin, thick = color.RGBA{0x12, 0x13, 0x15, 0xff}, color.RGBA{0x25, 0x26, 0x2a, 0xff}, color.RGBA{0x2e, 0x30, 0x35, 0xff}
	}
	r := p.img.Rect
	p.rect(float64(r.Min.X), float64(r.Min.Y), float64(r.Max.X), float64(r.Max.Y), back)
	x0, y0 := p.px(paper.Min)
	x1, y1 := p.px(paper.Max)
	p.rect(x0, y0, x1, y1, sheet)
	x0, y0 = max(math.Round(x0), float64(r.Min.X)), max(math.Round(y0), float64(r.Min.Y))
	x1, y1 = min(math.Round(x1), float64(r.Max.X)), min(math.Round(y1), float64(r.Max.Y))
	for _, g := range []struct {
		pitch float64
		c     color.RGBA
	}{{10, thin}, {50, thick}} {
		if g.pitch*p.zoom < 6 {
			continue
		}
		for x := math.Ceil((p.at.X+x0/p.zoom)/g.pitch) * g.pitch; ; x += g.pitch {
			at := math.Round((x - p.at.X) * p.zoom)
			if at >= x1 {
				break
			}
			p.rect(at, y0, at+1, y1, g.c)
		}
		for y := math.Ceil((p.at.Y+y0/p.zoom)/g.pitch) * g.pitch; ; y += g.pitch {
			at := math.Round((y - p.at.Y) * p.zoom)
			if at >= y1 {
				break
			}
			p.rect(x0, at, x1, at+1, g.c)
		}
	}
}

// pointer takes a place in the widget to the sheet.
func (b *Board) pointer(at fyne.Position) session.Pointer {
	return session.Pointer{At: b.s.View.ToSheet(float64(at.X), float64(at.Y)), Reach: b.s.View.Reach(), Shift: b.shift}
}

// MouseDown begins a gesture, a pan or the menu.
func (b *Board) MouseDown(ev *desktop.MouseEvent) {
	b.focus()
	b.moves, b.rests = b.moves+1, false
	b.last = ev.Position
	b.shift = ev.Modifier&fyne.KeyModifierShift != 0
	switch {
	case ev.Button == desktop.MouseButtonTertiary, ev.Button == desktop.MouseButtonPrimary && b.space:
		b.panning = true
	case ev.Button == desktop.MouseButtonPrimary:
		p := b.pointer(ev.Position)
		now := time.Now()
		p.Twice = now.Sub(b.lastDown) < fyne.CurrentApp().Driver().DoubleTapDelay() && near(ev.Position, b.downAt, 4)
		b.lastDown, b.downAt = now, ev.Position
		b.pressed = true
		b.s.Press(p)
		b.double = p.Twice && len(b.s.Selected()) == 1
	case ev.Button == desktop.MouseButtonSecondary:
		if hit := b.s.Hit(b.pointer(ev.Position)); !hit.Empty() && !b.s.IsSelected(hit.ID()) {
			b.s.Select(hit.ID())
		}
		if b.menu != nil {
			b.menu(ev.AbsolutePosition)
		}
	}
}

func near(a, b fyne.Position, reach float32) bool {
	d := a.Subtract(b)
	return max(d.X, -d.X) <= reach && max(d.Y, -d.Y) <= reach
}

// MouseUp ends what MouseDown began.
func (b *Board) MouseUp(ev *desktop.MouseEvent) { b.release(ev.Position) }

func (b *Board) release(at fyne.Position) {
	b.panning = false
	if b.pressed {
		b.pressed = false
		b.s.Release(b.pointer(at))
		if b.double && b.twice != nil {
			b.twice()
		}
		b.double = false
	}
}

// Dragged moves the sheet or goes on with the gesture.
func (b *Board) Dragged(ev *fyne.DragEvent) {
	at := ev.Position
	if b.panning {
		b.s.Pan(float64(at.X-b.last.X), float64(at.Y-b.last.Y))
	} else if b.pressed {
		b.s.Drag(b.pointer(at))
	}
	b.last = at
}

// DragEnd ends a drag whose release happened elsewhere.
func (b *Board) DragEnd() { b.release(b.last) }

// MouseIn and MouseMoved bring the pointer to the tool.
func (b *Board) MouseIn(ev *desktop.MouseEvent) { b.MouseMoved(ev) }

// MouseMoved brings the pointer to the tool.
func (b *Board) MouseMoved(ev *desktop.MouseEvent) {
	b.last = ev.Position
	if b.pressed || b.panning {
		return
	}
	b.moves++
	if b.rests {
		b.rests = false
		b.Refresh()
	}
	b.s.Hover(b.pointer(ev.Position))
	if b.s.Preview().Calm {
		moves := b.moves
		time.AfterFunc(rest, func() { b.post(func() { b.rested(moves) }) })
	}
}

// rest is how long a pointer stays before it is told what it is on.
const rest = 500 * time.Millisecond

func (b *Board) rested(moves int) {
	if moves == b.moves && !b.pressed && !b.panning {
		b.rests = true
		b.Refresh()
	}
}

// MouseOut takes the pointer off the sheet.
func (b *Board) MouseOut() {
	if !b.pressed {
		b.s.Hover(session.Pointer{At: scene.Pt{X: math.Inf(-1), Y: math.Inf(-1)}})
	}
}

// Scrolled zooms at the pointer, or pans: with shift, sideways by a second wheel,
// or always where the person has chosen so.
func (b *Board) Scrolled(ev *fyne.ScrollEvent) {
	dx, dy := float64(ev.Scrolled.DX), float64(ev.Scrolled.DY)
	zoom := b.wheel()
	if held()&fyne.KeyModifierControl != 0 {
		zoom = true
	}
	switch {
	case held()&fyne.KeyModifierShift != 0 && dx == 0:
		b.s.Pan(dy*2, 0)
	case dx != 0 || !zoom:
		b.s.Pan(dx*2, dy*2)
	default:
		const notch = 25 // what one notch of a wheel comes as
		b.s.ZoomAt(float64(ev.Position.X), float64(ev.Position.Y), math.Pow(session.ZoomStep, math.Max(-3, math.Min(3, dy/notch))))
	}
}

// held are the modifier keys that are down.
func held() fyne.KeyModifier {
	if d, ok := fyne.CurrentApp().Driver().(desktop.Driver); ok {
		return d.CurrentKeyModifiers()
	}
	return 0
}

// Cursor is the pointer's form over the sheet.
func (b *Board) Cursor() desktop.Cursor {
	if b.panning || b.space {
		return desktop.PointerCursor
	}
	switch b.s.Preview().Cursor {
	case session.Cross:
		return desktop.CrosshairCursor
	case session.Grip:
		return desktop.PointerCursor
	}
	return desktop.DefaultCursor
}

func (b *Board) focus() {
	if c := fyne.CurrentApp().Driver().CanvasForObject(b); c != nil {
		c.Focus(b)
	}
}

// FocusGained, FocusLost, TypedKey, TypedRune, KeyDown and KeyUp make the sheet a
// stop of the tab key.
func (b *Board) FocusGained() { b.focused = true; b.Refresh() }

// FocusLost lets the space bar go.
func (b *Board) FocusLost() { b.focused, b.space = false, false; b.Refresh() }

// TypedKey hands a key to the table of keys.
func (b *Board) TypedKey(ev *fyne.KeyEvent) {
	if b.key != nil {
		b.key(ev)
	}
}

// TypedRune hands a letter to the table of keys.
func (b *Board) TypedRune(r rune) {
	if b.rune != nil {
		b.rune(r)
	}
}

// KeyDown notes the space bar, which makes the sheet movable.
func (b *Board) KeyDown(ev *fyne.KeyEvent) {
	if ev.Name == fyne.KeySpace {
		b.space = true
	}
}

// KeyUp lets the sheet stay where it is.
func (b *Board) KeyUp(ev *fyne.KeyEvent) {
	if ev.Name == fyne.KeySpace {
		b.space = false
	}
}
