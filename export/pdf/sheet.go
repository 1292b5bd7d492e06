package pdf

import (
	"codeberg.org/go-pdf/fpdf"

	"rigline/export/scene"
)

// Sheet puts a drawing on a page of its own, as large as the drawing's paper.
func (b *Book) Sheet(s *scene.Sheet, mark string) {
	d := plot{b, s.Paper.Min, s.Scale / scene.UnitsPerMM}
	b.page((s.Paper.Max.X-s.Paper.Min.X)*d.mm, (s.Paper.Max.Y-s.Paper.Min.Y)*d.mm, mark)
	for _, sh := range s.Shapes {
		d.shape(sh)
	}
}

// plot draws in sheet units on the page at hand.
type plot struct {
	*Book
	origin scene.Pt
	mm     float64 // a sheet unit
}

func (d plot) at(p scene.Pt) fpdf.PointType {
	return fpdf.PointType{X: (p.X - d.origin.X) * d.mm, Y: (p.Y - d.origin.Y) * d.mm}
}

// colorOf is a shape's colour on white; what is dead is mixed with the paper, so
// that nothing in the file is see-through.
func colorOf(sh scene.Shape) [3]int {
	c := scene.OnWhite[sh.Role]
	mix := func(v uint8) int {
		if sh.Dim {
			return int(float64(v)*scene.DeadAlpha + 255*(1-scene.DeadAlpha) + 0.5)
		}
		return int(v)
	}
	return [3]int{mix(c.R), mix(c.G), mix(c.B)}
}

func (d plot) shape(sh scene.Shape) {
	color := colorOf(sh)
	if sh.Form == scene.Text {
		p := d.at(sh.Pts[0])
		d.text(p.X, p.Y, sh.Height*d.mm, sh.Text, sh.Bold, color, sh.Anchor, sh.Angle)
		return
	}
	pts := make([]fpdf.PointType, len(sh.Pts))
	for i, p := range sh.Pts {
		pts[i] = d.at(p)
	}
	if sh.Form == scene.Filled || sh.Form == scene.Disc {
		d.filling(color)
		d.trace(sh, pts)
		return
	}
	width, between := sh.Stroke()
	d.stroke(color, width*d.mm, sh.Dash, d.mm)
	d.trace(sh, pts)
	if between > 0 {
		d.stroke(colorOf(scene.Shape{Role: scene.Paper}), between*d.mm, scene.Solid, d.mm)
		d.trace(sh, pts)
	}
}

// trace draws or fills a shape with the pen at hand.
func (d plot) trace(sh scene.Shape, pts []fpdf.PointType) {
	switch sh.Form {
	case scene.Polyline:
		d.pdf.MoveTo(pts[0].X, pts[0].Y)
		for _, p := range pts[1:] {
			d.pdf.LineTo(p.X, p.Y)
		}
		d.pdf.DrawPath("D")
	case scene.Polygon:
		d.pdf.Polygon(pts, "D")
	case scene.Filled:
		d.pdf.Polygon(pts, "F")
	case scene.Circle:
		d.pdf.Circle(pts[0].X, pts[0].Y, sh.R*d.mm, "D")
	case scene.Disc:
		d.pdf.Circle(pts[0].X, pts[0].Y, sh.R*d.mm, "F")
	case scene.Arc: // the library counts angles the other way round
		d.pdf.Arc(pts[0].X, pts[0].Y, sh.R*d.mm, sh.R*d.mm, 0, -sh.To, -sh.From, "D")
	}
}
