package session

import (
	"math"

	"rigline/export/scene"
)

// View is which piece of the sheet the window shows: the sheet point at its upper
// left corner, and pixels for each sheet unit. W and H are the window's size in
// pixels.
type View struct {
	At   scene.Pt
	Zoom float64
	W, H float64
}

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
	s.View.At.X -= dx / s.View.Zoom
	s.View.At.Y -= dy / s.View.Zoom
	s.changed(ViewChanged)
}

// ZoomAt zooms by a factor and keeps the sheet's point under a place in the window.
func (s *Session) ZoomAt(x, y, factor float64) {
	v := &s.View
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
func (s *Session) Fit() { s.Show(s.Sheet().Paper, LeastZoom) }

// FitSelection shows what is selected, or all that is drawn.
func (s *Session) FitSelection() {
	box, ok := s.boxOf(s.Selected())
	if !ok {
		if box, ok = s.Drawn(); !ok {
			s.Fit()
			return
		}
	}
	const margin = 60
	box.Min.X, box.Min.Y = box.Min.X-margin, box.Min.Y-margin
	box.Max.X, box.Max.Y = box.Max.X+margin, box.Max.Y+margin
	s.Show(box, 2)
}

// Show brings an area into the window, not nearer than the given zoom unless that
// is the least.
func (s *Session) Show(box scene.Box, nearest float64) {
	w, h := box.Max.X-box.Min.X, box.Max.Y-box.Min.Y
	v := &s.View
	if w <= 0 || h <= 0 || v.W <= 0 || v.H <= 0 {
		return
	}
	const rim = 12 // pixels of desk around the paper
	zoom := math.Min((v.W-2*rim)/w, (v.H-2*rim)/h)
	if nearest > LeastZoom {
		zoom = math.Min(zoom, nearest)
	}
	v.Zoom = math.Min(MostZoom, math.Max(LeastZoom, zoom))
	v.At = scene.Pt{X: (box.Min.X+box.Max.X)/2 - v.W/2/v.Zoom, Y: (box.Min.Y+box.Max.Y)/2 - v.H/2/v.Zoom}
	s.changed(ViewChanged)
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
	v.At = scene.Pt{X: (box.Min.X+box.Max.X)/2 - v.W/2/v.Zoom, Y: (box.Min.Y+box.Max.Y)/2 - v.H/2/v.Zoom}
	s.changed(ViewChanged)
}
