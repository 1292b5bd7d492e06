package session

import (
	"math"

	"rigline/export/scene"
)

// View is which piece of the sheet the window shows: the sheet point at its upper
// left corner, and pixels for each sheet unit. W and H are the window's size in
// pixels.
type View struct {
	At    scene.Pt
	Zoom  float64
	W, H  float64
	Holds Holding // what it goes on showing when the window or the sheet changes
}

// Holding is what a view goes on showing by itself, until it is moved by hand.
type Holding int

// A view holds nothing, the whole sheet, or all that is drawn.
const (
	Nothing Holding = iota
	WholeSheet
	AllDrawn
)

// The ends of the zoom, and one step of it.
const (
	LeastZoom = 0.1
	MostZoom  = 8
	ZoomStep  = 1.25
)

// ToSheet takes a place in the window to the sheet.
func (v View) ToSheet(x, y float64) scene.Pt {
	return scene.Pt{X: v.At.X + x/v.Zoom, Y: v.At.Y + y/v.Zoom}
}

// ToWindow takes a place on the sheet to the window.
func (v View) ToWindow(p scene.Pt) (x, y float64) {
	return (p.X - v.At.X) * v.Zoom, (p.Y - v.At.Y) * v.Zoom
}

// Reach is how far from a thing a pointer still meets it, in sheet units: about
// six pixels, whatever the zoom.
func (v View) Reach() float64 { return 6 / v.Zoom }

// Pan moves the sheet under the window by so many pixels.
func (s *Session) Pan(dx, dy float64) {
	s.View.Holds = Nothing
	v := &s.View
	// Whole pixels, so that a window can move what it has drawn.
	v.At.X = math.Round(v.At.X*v.Zoom-dx) / v.Zoom
	v.At.Y = math.Round(v.At.Y*v.Zoom-dy) / v.Zoom
	s.changed(ViewChanged)
}

// ZoomAt zooms by a factor and keeps the sheet's point under a place in the window.
func (s *Session) ZoomAt(x, y, factor float64) {
	v := &s.View
	v.Holds = Nothing
	under := v.ToSheet(x, y)
	v.Zoom = math.Min(MostZoom, math.Max(LeastZoom, v.Zoom*factor))
	v.At = scene.Pt{X: under.X - x/v.Zoom, Y: under.Y - y/v.Zoom}
	s.changed(ViewChanged)
}

// ZoomTo sets the zoom and keeps the middle of the window.
func (s *Session) ZoomTo(zoom float64) {
	s.ZoomAt(s.View.W/2, s.View.H/2, zoom/s.View.Zoom)
}

// Fit shows the whole sheet.
func (s *Session) Fit() {
	s.View.fit(s.Sheet().Paper)
	s.View.Holds = WholeSheet
	s.changed(ViewChanged)
}

// FitDrawn shows all that is drawn, or the whole sheet where nothing is.
func (s *Session) FitDrawn() {
	if _, ok := s.Drawn(); !ok {
		s.Fit()
		return
	}
	s.fitDrawn()
	s.changed(ViewChanged)
}

// nearlyAsLarge is how much of its size the drawing keeps where the whole sheet is shown
// in its place: a title block that is cut off looks like a mistake.
const nearlyAsLarge = 0.8

// fitDrawn does so where something is drawn. Where the whole sheet is nearly as large it
// shows that.
func (s *Session) fitDrawn() {
	box, _ := s.Drawn()
	const rim = 16
	v := &s.View
	v.fit(scene.Box{Min: scene.Pt{X: box.Min.X - rim, Y: box.Min.Y - rim}, Max: scene.Pt{X: box.Max.X + rim, Y: box.Max.Y + rim}})
	v.Zoom = min(v.Zoom, 1.5)
	v.centre(box)
	v.onto(s.Sheet().Paper)
	whole := *v
	if whole.fit(s.Sheet().Paper); whole.Zoom >= nearlyAsLarge*v.Zoom {
		*v = whole
	}
	v.Holds, s.fitted = AllDrawn, s.Doc()
}

// onto moves the view so that no desk shows on one side while paper lies beyond the
// other.
func (v *View) onto(paper scene.Box) {
	const desk = 12
	hold := func(at, span, low, high float64) float64 {
		low, high = low-desk/v.Zoom, high+desk/v.Zoom
		if span >= high-low {
			return (low + high - span) / 2
		}
		return math.Min(math.Max(at, low), high-span)
	}
	v.At.X = hold(v.At.X, v.W/v.Zoom, paper.Min.X, paper.Max.X)
	v.At.Y = hold(v.At.Y, v.H/v.Zoom, paper.Min.Y, paper.Max.Y)
}

// grown leaves room for the words around symbols.
func grown(b scene.Box) scene.Box {
	const margin = 60
	return scene.Box{Min: scene.Pt{X: b.Min.X - margin, Y: b.Min.Y - margin}, Max: scene.Pt{X: b.Max.X + margin, Y: b.Max.Y + margin}}
}

func (v *View) fit(paper scene.Box) {
	const rim = 12 // pixels of desk around the paper
	w, h := paper.Max.X-paper.Min.X, paper.Max.Y-paper.Min.Y
	if w > 0 && h > 0 && v.W > 2*rim && v.H > 2*rim {
		v.Zoom = math.Min(MostZoom, math.Max(LeastZoom, math.Min((v.W-2*rim)/w, (v.H-2*rim)/h)))
		v.centre(paper)
	}
}

// Resize tells the window's size in pixels.
func (s *Session) Resize(w, h float64) {
	if w == s.View.W && h == s.View.H {
		return
	}
	s.View.W, s.View.H = w, h
	switch s.View.Holds {
	case WholeSheet:
		s.Fit()
	case AllDrawn:
		s.FitDrawn()
	}
}

// FitSelection shows what is selected, or all that is drawn.
func (s *Session) FitSelection() {
	box, ok := s.boxOf(s.Selected())
	if !ok {
		s.FitDrawn()
		return
	}
	s.show(grown(box), 2)
}

// show brings an area into the middle of the window, not nearer than the given zoom.
func (s *Session) show(box scene.Box, nearest float64) {
	v := &s.View
	v.fit(box)
	v.Zoom = min(v.Zoom, nearest)
	v.centre(box)
	s.changed(ViewChanged)
}

func (v *View) centre(box scene.Box) {
	v.Holds = Nothing
	v.At = scene.Pt{X: (box.Min.X+box.Max.X)/2 - v.W/2/v.Zoom, Y: (box.Min.Y+box.Max.Y)/2 - v.H/2/v.Zoom}
}

// GoTo brings an address into the middle of the window without zooming, unless it
// is well inside already, and selects it.
func (s *Session) GoTo(address string) {
	id, ok := s.Owner(address)
	if !ok {
		return
	}
	s.Select(id)
	box, ok := s.boxOf(s.Selected())
	if !ok {
		return
	}
	v := &s.View
	x0, y0 := v.ToWindow(box.Min)
	x1, y1 := v.ToWindow(box.Max)
	const rim = 40
	if x0 > rim && y0 > rim && x1 < v.W-rim && y1 < v.H-rim {
		return
	}
	v.centre(box)
	v.onto(s.Sheet().Paper)
	s.changed(ViewChanged)
}
