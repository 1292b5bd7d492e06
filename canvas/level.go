package canvas

import (
	"image"
	"image/color"
	"math"

	"fyne.io/fyne/v2"
	fynecanvas "fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"rigline/export/scene"
	"rigline/rules"
)

// levelMark is a finding's mark: an octagon for danger, a triangle for a
// violation, a circle for advice, so that colour is never the only carrier.
type levelMark struct {
	widget.BaseWidget
	level  rules.Level
	size   float32
	ringed bool // drawn as an outline: accepted, or not checked
}

func newLevelMark(l rules.Level, size float32, ringed bool) *levelMark {
	m := &levelMark{level: l, size: size, ringed: ringed}
	m.ExtendBaseWidget(m)
	return m
}

// CreateRenderer draws the mark.
func (m *levelMark) CreateRenderer() fyne.WidgetRenderer {
	r := fynecanvas.NewRaster(func(w, h int) image.Image { return levelPicture(m.level, w, h, m.ringed) })
	r.SetMinSize(fyne.NewSize(m.size, m.size))
	return widget.NewSimpleRenderer(r)
}

func levelColour(l rules.Level) color.Color {
	c := sheetColours()
	switch l {
	case rules.Danger:
		return c[scene.Danger]
	case rules.Violation:
		return c[scene.Violation]
	case rules.Advice:
		return c[scene.Advice]
	}
	return theme.Color(theme.ColorNamePlaceHolder)
}

func levelPicture(l rules.Level, w, h int, ringed bool) image.Image {
	img := image.NewRGBA(image.Rect(0, 0, max(w, 1), max(h, 1)))
	p := newPainter(img, scene.Pt{}, 1, sheetColours())
	c := rgbaOf(levelColour(l))
	x, y, r := float64(w)/2, float64(h)/2, float64(min(w, h))/2-0.5
	outer := outline(l, x, y, r)
	if !ringed {
		p.polygon(outer, c)
		return img
	}
	inner := outline(l, x, y, r-max(1.5, r/5))
	for i, j := 0, len(inner)-1; i < j; i, j = i+1, j-1 {
		inner[i], inner[j] = inner[j], inner[i]
	}
	p.polygons([][][2]float64{outer, inner}, c)
	return img
}

func outline(l rules.Level, x, y, r float64) [][2]float64 {
	n, turn := 24, 0.0
	switch l {
	case rules.Danger:
		n, turn = 8, math.Pi/8
	case rules.Violation:
		n, turn, y = 3, -math.Pi/2, y+r/6
	}
	pts := make([][2]float64, n)
	for i := range pts {
		a := turn + 2*math.Pi*float64(i)/float64(n)
		pts[i] = [2]float64{x + r*math.Cos(a), y + r*math.Sin(a)}
	}
	return pts
}
