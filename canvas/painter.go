package canvas

import (
	"image"
	"image/color"
	"image/draw"
	"math"

	"golang.org/x/image/vector"

	"rigline/components"
	"rigline/export/scene"
)

// painter draws the scene's shapes into an image. The board shows one picture and
// not a thousand objects: it looks like the paper to the last dash, and a dragged
// part costs the picture's upload and little more.
type painter struct {
	img     *image.RGBA
	at      scene.Pt // the sheet's point at the upper left pixel
	zoom    float64  // pixels for each sheet unit
	colours scene.Colours
	ras     *vector.Rasterizer
	letters *lettering
}

func newPainter(img *image.RGBA, at scene.Pt, zoom float64, colours scene.Colours) *painter {
	return &painter{img: img, at: at, zoom: zoom, colours: colours, ras: &vector.Rasterizer{}, letters: &letters}
}

func (p *painter) px(q scene.Pt) (x, y float64) {
	return (q.X - p.at.X) * p.zoom, (q.Y - p.at.Y) * p.zoom
}

// colourOf is a shape's colour with the paper already behind it, so that pieces
// that overlap do not add up.
func (p *painter) colourOf(s scene.Shape) color.RGBA {
	return over(p.colours.Of(s), p.colours[scene.Paper])
}

func over(c, paper color.NRGBA) color.RGBA {
	mix := func(a, b uint8) uint8 {
		return uint8((int(a)*int(c.A) + int(b)*(255-int(c.A)) + 127) / 255)
	}
	return color.RGBA{mix(c.R, paper.R), mix(c.G, paper.G), mix(c.B, paper.B), 0xff}
}

// visible tells whether any of an area is in the picture.
func (p *painter) visible(b scene.Box, grown float64) bool {
	x0, y0 := p.px(b.Min)
	x1, y1 := p.px(b.Max)
	r := p.img.Rect
	return x1+grown >= float64(r.Min.X) && y1+grown >= float64(r.Min.Y) && x0-grown <= float64(r.Max.X) && y0-grown <= float64(r.Max.Y)
}

// shape draws one shape.
func (p *painter) shape(s scene.Shape) {
	if len(s.Pts) == 0 || !p.visible(s.Box(), 4*p.zoom) {
		return
	}
	p.draw(s)
}

// draw draws a shape that is known to lie in the picture.
func (p *painter) draw(s scene.Shape) {
	c := p.colourOf(s)
	w, between := p.stroke(s)
	switch s.Form {
	case scene.Polyline:
		p.line(s.Pts, w, s.Dash.Pattern(), c)
		if between > 0 {
			p.line(s.Pts, between, nil, p.paper())
		}
	case scene.Polygon:
		p.line(append(append([]scene.Pt{}, s.Pts...), s.Pts[0]), w, s.Dash.Pattern(), c)
	case scene.Filled:
		p.fill(s.Pts, c)
	case scene.Circle:
		p.arc(s.Pts[0], s.R, 0, 360, w, c)
	case scene.Arc:
		p.arc(s.Pts[0], s.R, s.From, s.To, w, c)
		if between > 0 {
			p.arc(s.Pts[0], s.R, s.From, s.To, between, p.paper())
		}
	case scene.Disc:
		p.disc(s.Pts[0], s.R, c)
	case scene.Text:
		p.text(s, c)
	}
}

func (p *painter) paper() color.RGBA { return over(p.colours[scene.Paper], p.colours[scene.Paper]) }

// stroke is the width of a shape's line in pixels and that of the paper between its
// edges: zero for a plain line, and where the picture is too small to part them. A
// line is at least one pixel wide; a leader at least a part of one, since a slanting
// line looks wider than one along an axis.
func (p *painter) stroke(s scene.Shape) (width, between float64) {
	const parted = 0.75 // pixels between edges that are still seen
	if w, b := s.Stroke(); b*p.zoom >= parted {
		edge := max(1, math.Round((w-b)/2*p.zoom))
		w = max(2*edge+1, math.Round(w*p.zoom))
		return w, w - 2*edge
	}
	least := 1.0
	if s.Weight == components.Hairline {
		least = 0.6
	}
	return max(least, scene.Millimetres[s.Weight]*scene.UnitsPerMM*p.zoom), 0
}

// line draws a line of several pieces, in dashes where there is a pattern.
func (p *painter) line(pts []scene.Pt, w float64, pattern []float64, c color.RGBA) {
	if len(pattern) == 0 {
		for i := 1; i < len(pts); i++ {
			p.piece(pts[i-1], pts[i], w, true, c)
		}
		return
	}
	k, left := 0, pattern[0]
	for i := 1; i < len(pts); i++ {
		a, b := pts[i-1], pts[i]
		long := math.Hypot(b.X-a.X, b.Y-a.Y)
		for done := 0.0; done < long; {
			step := min(left, long-done)
			if k%2 == 0 {
				t, u := done/long, (done+step)/long
				p.piece(scene.Pt{X: a.X + t*(b.X-a.X), Y: a.Y + t*(b.Y-a.Y)}, scene.Pt{X: a.X + u*(b.X-a.X), Y: a.Y + u*(b.Y-a.Y)}, w, false, c)
			}
			done += step
			if left -= step; left <= 1e-9 {
				k = (k + 1) % len(pattern)
				left = pattern[k]
			}
		}
	}
}

// piece draws a straight line. One along an axis falls on whole pixels.
func (p *painter) piece(a, b scene.Pt, w float64, joined bool, c color.RGBA) {
	x0, y0 := p.px(a)
	x1, y1 := p.px(b)
	more := 0.0
	if joined {
		more = w / 2
	}
	switch {
	case a.Y == b.Y:
		top, n := crisp(y0, w)
		p.rect(min(x0, x1)-more, float64(top), max(x0, x1)+more, float64(top+n), c)
	case a.X == b.X:
		left, n := crisp(x0, w)
		p.rect(float64(left), min(y0, y1)-more, float64(left+n), max(y0, y1)+more, c)
	default:
		long := math.Hypot(x1-x0, y1-y0)
		ux, uy := (x1-x0)/long, (y1-y0)/long
		x0, y0, x1, y1 = x0-ux*more/2, y0-uy*more/2, x1+ux*more/2, y1+uy*more/2
		nx, ny := -uy*w/2, ux*w/2
		p.polygon([][2]float64{{x0 + nx, y0 + ny}, {x1 + nx, y1 + ny}, {x1 - nx, y1 - ny}, {x0 - nx, y0 - ny}}, c)
	}
}

// crisp is the first pixel and the number of pixels of a line across v.
func crisp(v, w float64) (first, n int) {
	n = max(1, int(math.Round(w)))
	return int(math.Round(v - float64(n)/2)), n
}

// rect fills whole pixels.
func (p *painter) rect(x0, y0, x1, y1 float64, c color.RGBA) {
	r := image.Rect(int(math.Round(x0)), int(math.Round(y0)), int(math.Round(x1)), int(math.Round(y1))).Intersect(p.img.Rect)
	if r.Empty() {
		return
	}
	if c.A != 0xff {
		draw.Draw(p.img, r, image.NewUniform(c), image.Point{}, draw.Over)
		return
	}
	row := p.img.Pix[p.img.PixOffset(r.Min.X, r.Min.Y):]
	n := 4 * r.Dx()
	for i := 0; i < n; i += 4 {
		row[i], row[i+1], row[i+2], row[i+3] = c.R, c.G, c.B, c.A
	}
	for y := 1; y < r.Dy(); y++ {
		copy(row[y*p.img.Stride:], row[:n])
	}
}

// polygon fills an outline, in pixels, with smooth edges.
func (p *painter) polygon(pts [][2]float64, c color.RGBA) { p.polygons([][][2]float64{pts}, c) }

// polygons fills outlines together; one that turns the other way is a hole.
func (p *painter) polygons(loops [][][2]float64, c color.RGBA) {
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, pts := range loops {
		for _, q := range pts {
			x0, y0, x1, y1 = min(x0, q[0]), min(y0, q[1]), max(x1, q[0]), max(y1, q[1])
		}
	}
	r := image.Rect(int(math.Floor(x0)), int(math.Floor(y0)), int(math.Ceil(x1)), int(math.Ceil(y1))).Intersect(p.img.Rect)
	if r.Empty() {
		return
	}
	p.ras.Reset(r.Dx(), r.Dy())
	ox, oy := float64(r.Min.X), float64(r.Min.Y)
	for _, pts := range loops {
		for i, q := range pts {
			x, y := float32(q[0]-ox), float32(q[1]-oy)
			if i == 0 {
				p.ras.MoveTo(x, y)
			} else {
				p.ras.LineTo(x, y)
			}
		}
		p.ras.ClosePath()
	}
	p.ras.Draw(p.img, r, image.NewUniform(c), image.Point{})
}

func (p *painter) fill(pts []scene.Pt, c color.RGBA) {
	loop := make([][2]float64, len(pts))
	for i, q := range pts {
		loop[i][0], loop[i][1] = p.px(q)
	}
	p.polygon(loop, c)
}

func (p *painter) disc(at scene.Pt, r float64, c color.RGBA) {
	p.polygon(p.round(at, r*p.zoom, 0, 360), c)
}

// ring draws a circle with its radius in sheet units and its width in pixels.
func (p *painter) arc(at scene.Pt, r, from, to, w float64, c color.RGBA) {
	outer := p.round(at, r*p.zoom+w/2, from, to)
	inner := p.round(at, max(0, r*p.zoom-w/2), from, to)
	back := make([][2]float64, len(inner))
	for i, q := range inner {
		back[len(inner)-1-i] = q
	}
	if to-from >= 360 {
		p.polygons([][][2]float64{outer, back}, c)
		return
	}
	p.polygon(append(outer, back...), c)
}

// round is a piece of a circle as short lines, in pixels.
func (p *painter) round(at scene.Pt, r, from, to float64) [][2]float64 {
	cx, cy := p.px(at)
	n := max(8, int(math.Sqrt(max(r, 1))*10*(to-from)/360))
	pts := make([][2]float64, n+1)
	for i := range pts {
		a := (from + (to-from)*float64(i)/float64(n)) * math.Pi / 180
		pts[i] = [2]float64{cx + r*math.Cos(a), cy + r*math.Sin(a)}
	}
	return pts
}

// text draws letters with their anchor on the base line.
func (p *painter) text(s scene.Shape, c color.RGBA) {
	size := scene.FontSize(s.Height, s.Bold) * p.zoom
	if size < 3 {
		return
	}
	x, y := p.px(s.Pts[0])
	back := 0.0
	switch s.Anchor {
	case scene.Middle:
		back = scene.TextWidth(s.Text, s.Height, s.Bold) * p.zoom / 2
	case scene.End:
		back = scene.TextWidth(s.Text, s.Height, s.Bold) * p.zoom
	}
	if s.Angle == 90 {
		p.letters.draw(p.img, s.Text, x, y+back, size, s.Bold, true, c)
		return
	}
	p.letters.draw(p.img, s.Text, x-back, y, size, s.Bold, false, c)
}
