package canvas

import (
	"image"
	"image/draw"
	"math"
	"time"

	"rigline/canvas/session"
	"rigline/components"
	"rigline/export/scene"
)

// base is the last picture of everything that does not follow the pointer. Where
// little differs from it, only that is drawn again: what changed between two
// drawings, the strip that panning brings in, a part that a hand takes up.
type base struct {
	img     *image.RGBA
	spare   *image.RGBA // of the same size, for moving the picture
	look    look
	drawing session.Drawing
	hidden  map[components.ID]bool
	rough   bool // stretched from another zoom, to be drawn sharp when the hand rests
	zooms   int
}

// look is how the picture shows the sheet.
type look struct {
	w, h  int
	scale float64 // pixels of the picture for each of the window
	dark  bool
	view  session.View
	shade shading
	live  *session.Live
}

// slow is how many shapes in sight make a picture too slow to draw in one frame.
const slow = 4000

// sharpen is how long a zoom rests before the stretched picture is drawn sharp.
const sharpen = 120 * time.Millisecond

func (b *base) draw(board *Board, now look, preview session.Preview) {
	now.view.Holds, now.view.W, now.view.H = 0, 0, 0
	drawing := board.s.Drawing()
	old := b.look
	now.live = drawing.Live
	now.shade = board.shade
	defer func() { b.look, b.drawing, b.hidden = now, drawing, preview.Hide }()
	whole := func() {
		if b.img == nil || b.img.Rect.Dx() != now.w || b.img.Rect.Dy() != now.h {
			b.img = image.NewRGBA(image.Rect(0, 0, now.w, now.h))
			b.spare = image.NewRGBA(b.img.Rect)
		}
		b.rough = false
		b.fill(now, drawing, preview.Hide, b.img.Rect)
	}
	if b.img == nil || old.w != now.w || old.h != now.h || old.scale != now.scale || old.dark != now.dark || old.shade != now.shade || old.live != now.live {
		whole()
		return
	}
	areas, ok := drawing.Since(b.drawing)
	if !ok || drawing.Marks != b.drawing.Marks {
		whole()
		return
	}
	if old.view.Zoom != now.view.Zoom {
		if b.inSight(now, drawing) < slow {
			whole()
			return
		}
		b.stretch(old, now)
		b.rough = true
		b.sharpenLater(board)
		return
	}
	if b.rough && old.view == now.view && len(areas) == 0 {
		if b.zooms == 0 {
			whole()
		}
		return
	}
	if old.view.At != now.view.At {
		b.slide(old, now, drawing, preview.Hide)
	}
	for id := range preview.Hide {
		if !b.hidden[id] {
			areas = with(areas, drawing, id)
		}
	}
	for id := range b.hidden {
		if !preview.Hide[id] {
			areas = with(areas, drawing, id)
		}
	}
	zoom := now.view.Zoom * now.scale
	total := 0.0
	rects := make([]image.Rectangle, 0, len(areas))
	for _, a := range areas {
		r := image.Rect(
			int(math.Floor((a.Min.X-now.view.At.X)*zoom-3-2*zoom)), int(math.Floor((a.Min.Y-now.view.At.Y)*zoom-3-2*zoom)),
			int(math.Ceil((a.Max.X-now.view.At.X)*zoom+3+2*zoom)), int(math.Ceil((a.Max.Y-now.view.At.Y)*zoom+3+2*zoom))).Intersect(b.img.Rect)
		if !r.Empty() {
			rects = append(rects, r)
			total += float64(r.Dx() * r.Dy())
		}
	}
	if total > 0.6*float64(now.w*now.h) || len(rects) > 40 {
		whole()
		return
	}
	for _, r := range rects {
		b.fill(now, drawing, preview.Hide, r)
	}
}

func with(areas []scene.Box, d session.Drawing, id components.ID) []scene.Box {
	if box, ok := d.AreaOf(id); ok {
		areas = append(areas, box)
	}
	return areas
}

// fill draws an area of the picture anew.
func (b *base) fill(now look, d session.Drawing, hidden map[components.ID]bool, area image.Rectangle) {
	part, ok := b.img.SubImage(area).(*image.RGBA)
	if !ok || area.Empty() {
		return
	}
	p := newPainter(part, now.view.At, now.view.Zoom*now.scale, sheetColours())
	p.desk(d.Sheet.Paper)
	p.shade(d, now.shade, now.scale)
	p.shapes(d, hidden)
}

// shapes draws the shapes of a drawing that lie in the picture.
func (p *painter) shapes(d session.Drawing, hidden map[components.ID]bool) {
	for i := range d.Sheet.Shapes {
		sh := &d.Sheet.Shapes[i]
		if len(sh.Pts) == 0 || !p.visible(d.Boxes[i], 4*p.zoom) {
			continue
		}
		if len(hidden) > 0 && hidden[session.OwnerOf(sh.Address)] {
			continue
		}
		if sh.Layer == scene.MarkLayer && !d.Marks {
			dim := *sh
			dim.Dim = true
			p.draw(dim)
			continue
		}
		p.draw(*sh)
	}
}

// slide moves the picture by whole pixels and draws the strips that come in. A pan
// by a fraction of a pixel is rounded, and the rest goes with the next.
func (b *base) slide(old, now look, d session.Drawing, hidden map[components.ID]bool) {
	zoom := now.view.Zoom * now.scale
	fx, fy := (old.view.At.X-now.view.At.X)*zoom, (old.view.At.Y-now.view.At.Y)*zoom
	dx, dy := int(math.Round(fx)), int(math.Round(fy))
	r := b.img.Rect
	if math.Abs(fx-float64(dx)) > 0.02 || math.Abs(fy-float64(dy)) > 0.02 || abs(dx) > r.Dx()*2/3 || abs(dy) > r.Dy()*2/3 || b.rough {
		b.rough = false
		b.fill(now, d, hidden, r)
		return
	}
	draw.Draw(b.spare, r.Add(image.Pt(dx, dy)), b.img, r.Min, draw.Src)
	b.img, b.spare = b.spare, b.img
	if dx > 0 {
		b.fill(now, d, hidden, image.Rect(0, 0, dx, r.Max.Y))
	} else if dx < 0 {
		b.fill(now, d, hidden, image.Rect(r.Max.X+dx, 0, r.Max.X, r.Max.Y))
	}
	if dy > 0 {
		b.fill(now, d, hidden, image.Rect(0, 0, r.Max.X, dy))
	} else if dy < 0 {
		b.fill(now, d, hidden, image.Rect(0, r.Max.Y+dy, r.Max.X, r.Max.Y))
	}
}

func abs(v int) int { return max(v, -v) }

// inSight counts the shapes in the picture.
func (b *base) inSight(now look, d session.Drawing) int {
	p := newPainter(b.img, now.view.At, now.view.Zoom*now.scale, nil)
	n := 0
	for i := range d.Boxes {
		if p.visible(d.Boxes[i], 0) {
			n++
		}
	}
	return n
}

// stretch makes the picture of one zoom from that of another, point by point.
func (b *base) stretch(old, now look) {
	src, dst := b.img, b.spare
	// A pixel of the new picture lies at the sheet's point now.At + x/now.zoom.
	zo, zn := old.view.Zoom*old.scale, now.view.Zoom*now.scale
	step := zo / zn
	x0, y0 := (now.view.At.X-old.view.At.X)*zo, (now.view.At.Y-old.view.At.Y)*zo
	w, h := src.Rect.Dx(), src.Rect.Dy()
	columns := make([]int, w)
	for x := range columns {
		columns[x] = min(w-1, max(0, int(x0+(float64(x)+0.5)*step))) * 4
	}
	for y := range h {
		from := src.Pix[min(h-1, max(0, int(y0+(float64(y)+0.5)*step)))*src.Stride:]
		to := dst.Pix[y*dst.Stride : y*dst.Stride+4*w]
		for x, c := range columns {
			copy(to[4*x:4*x+4], from[c:c+4])
		}
	}
	b.img, b.spare = dst, src
}

// sharpenLater draws a stretched picture sharp once the hand rests.
func (b *base) sharpenLater(board *Board) {
	b.zooms++
	time.AfterFunc(sharpen, func() {
		board.post(func() {
			b.zooms--
			if b.zooms == 0 && b.rough {
				board.Refresh()
			}
		})
	})
}
