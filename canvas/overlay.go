package canvas

import (
	"image/color"
	"math"
	"strings"

	"fyne.io/fyne/v2/theme"

	"rigline/canvas/session"
	"rigline/components"
	"rigline/export/scene"
)

// overlay draws what follows the pointer: the selection, what a gesture would do,
// and the words beside it.
func (b *Board) overlay(p *painter, v session.Preview, scale float64) {
	accent := rgbaOf(theme.Color(theme.ColorNamePrimary))
	if v.Over != "" && !b.s.IsSelected(v.Over) && !v.Hide[v.Over] {
		b.outline(p, v.Over, faded(accent, 0x30), scale)
	}
	for _, id := range b.s.Selected() {
		if !v.Hide[id] {
			b.outline(p, id, faded(accent, 0x58), scale)
		}
	}
	for _, sh := range v.Shapes {
		if sh.Layer != scene.FrameLayer {
			p.shape(sh)
		}
	}
	for id, body := range b.s.PinnedBodies() {
		if !v.Hide[id] {
			p.disc(scene.Pt{X: body.Min.X, Y: body.Min.Y}, 4/b.s.View.Zoom, accent)
		}
	}
	for id := range v.Lit {
		b.outline(p, id, faded(accent, 0x70), scale)
	}
	for id := range v.Away {
		b.outline(p, id, faded(over(p.colours[scene.Danger], p.colours[scene.Paper]), 0x70), scale)
	}
	for _, g := range v.Guides {
		p.line(g[:], scale, []float64{4 / b.s.View.Zoom, 4 / b.s.View.Zoom}, accent)
	}
	good, bad := over(p.colours[scene.Ground], p.colours[scene.Paper]), over(p.colours[scene.Danger], p.colours[scene.Paper])
	for _, l := range v.Lights {
		c, r := good, 5*scale
		if !l.OK {
			c = bad
		}
		if l.Aim {
			r = 8 * scale
		}
		p.arc(l.At, r/p.zoom, 0, 360, 2*scale, c)
		if !l.OK { // a cross as well as a colour
			d := r / p.zoom * 0.7
			p.line([]scene.Pt{{X: l.At.X - d, Y: l.At.Y - d}, {X: l.At.X + d, Y: l.At.Y + d}}, 2*scale, nil, c)
			p.line([]scene.Pt{{X: l.At.X - d, Y: l.At.Y + d}, {X: l.At.X + d, Y: l.At.Y - d}}, 2*scale, nil, c)
		}
	}
	for _, at := range v.Ports {
		p.disc(at, 3.5*scale/p.zoom, over(p.colours[scene.Paper], p.colours[scene.Paper]))
		p.arc(at, 3.5*scale/p.zoom, 0, 360, 1.5*scale, accent)
	}
	for _, g := range v.Grips {
		x, y := p.px(g)
		d := 3.5 * scale
		p.rect(x-d-scale, y-d-scale, x+d+scale, y+d+scale, accent)
		p.rect(x-d, y-d, x+d, y+d, over(p.colours[scene.Paper], p.colours[scene.Paper]))
	}
	if v.Band != nil {
		p.band(*v.Band, accent, scale)
	}
	if len(b.s.Doc().Parts()) == 0 && len(v.Shapes) == 0 && !b.bare {
		b.invite(p, scale)
	}
	b.tags(p, scale)
	b.legend(p, scale)
	if v.Hint != "" && (!v.Calm || b.rests) {
		v.Hint = b.s.Say(v.Hint)
		p.hint(v, scale)
	}
	if b.focused {
		r := p.img.Rect
		w, h, d := float64(r.Dx()), float64(r.Dy()), math.Ceil(scale)
		for _, e := range [][4]float64{{0, 0, w, d}, {0, h - d, w, h}, {0, 0, d, h}, {w - d, 0, w, h}} {
			p.rect(e[0], e[1], e[2], e[3], faded(accent, 0x90))
		}
	}
}

func rgbaOf(c color.Color) color.RGBA { return color.RGBAModel.Convert(c).(color.RGBA) }

// faded is a colour with an alpha, ready to be laid over others.
func faded(c color.RGBA, a uint8) color.RGBA {
	m := func(v uint8) uint8 { return uint8(int(v) * int(a) / 255) }
	return color.RGBA{m(c.R), m(c.G), m(c.B), a}
}

// outline lays a colour around a part or along a run.
func (b *Board) outline(p *painter, id components.ID, c color.RGBA, scale float64) {
	sheet := b.s.Sheet()
	if body, ok := sheet.Bodies[id]; ok {
		d := min(4/b.s.View.Zoom, 4) // a part's words begin a little farther out
		x0, y0 := p.px(scene.Pt{X: body.Min.X - d, Y: body.Min.Y - d})
		x1, y1 := p.px(scene.Pt{X: body.Max.X + d, Y: body.Max.Y + d})
		p.rect(x0, y0, x1, y1, faded(opaque(c), c.A/3))
		t := 2 * scale
		for _, e := range [][4]float64{{x0, y0, x1, y0 + t}, {x0, y1 - t, x1, y1}, {x0, y0 + t, x0 + t, y1 - t}, {x1 - t, y0 + t, x1, y1 - t}} {
			p.rect(e[0], e[1], e[2], e[3], faded(opaque(c), min(c.A, 0x7f)*2))
		}
		return
	}
	if _, ok := b.s.NoteOf(id); ok {
		box, _ := b.s.BoxOf(id)
		p.band(box, opaque(c), scale)
		return
	}
	path := sheet.Paths[id]
	for i := 1; i < len(path); i++ {
		p.piece(path[i-1], path[i], 9*scale, false, c)
	}
}

func opaque(c color.RGBA) color.RGBA {
	if c.A == 0 {
		return c
	}
	m := func(v uint8) uint8 { return uint8(int(v) * 255 / int(c.A)) }
	return color.RGBA{m(c.R), m(c.G), m(c.B), 0xff}
}

func (p *painter) band(b scene.Box, c color.RGBA, scale float64) {
	x0, y0 := p.px(b.Min)
	x1, y1 := p.px(b.Max)
	p.rect(x0, y0, x1, y1, faded(c, 0x20))
	d := math.Ceil(scale)
	for _, e := range [][4]float64{{x0, y0, x1, y0 + d}, {x0, y1 - d, x1, y1}, {x0, y0, x0 + d, y1}, {x1 - d, y0, x1, y1}} {
		p.rect(e[0], e[1], e[2], e[3], c)
	}
}

// hint writes a few lines beside the pointer, inside the picture.
func (p *painter) hint(v session.Preview, scale float64) {
	size, pad := 12.5*scale, 6*scale
	var lines []string
	for _, l := range strings.Split(v.Hint, "\n") {
		lines = append(lines, p.folded(l, 420*scale, size)...)
	}
	w := 0.0
	for _, l := range lines {
		w = max(w, p.letters.width(l, size, false))
	}
	lead := size * 1.35
	h := lead*float64(len(lines)) + 2*pad
	w += 2 * pad
	x, y := p.px(v.HintAt)
	x, y = x+16*scale, y+18*scale
	r := p.img.Rect
	if x+w > float64(r.Dx()) {
		x = max(0, float64(r.Dx())-w)
	}
	if y+h > float64(r.Dy()) {
		y = max(0, y-h-36*scale)
	}
	back, ink := color.RGBA{0x2b, 0x2e, 0x33, 0xff}, color.RGBA{0xf4, 0xf5, 0xf6, 0xff}
	if p.colours[scene.Paper].R < 0x80 {
		back, ink = color.RGBA{0xe6, 0xe8, 0xeb, 0xff}, color.RGBA{0x1b, 0x1c, 0x1f, 0xff}
	}
	if v.Wrong {
		back, ink = over(scene.OnWhite[scene.Danger], scene.OnWhite[scene.Paper]), color.RGBA{0xff, 0xff, 0xff, 0xff}
	}
	p.rect(x, y, x+w, y+h, back)
	for i, l := range lines {
		p.letters.draw(p.img, l, x+pad, y+pad+lead*float64(i)+size, size, false, false, ink)
	}
}

// folded breaks a text into lines no wider than width pixels.
func (p *painter) folded(text string, width, size float64) []string {
	var lines []string
	line := ""
	for _, word := range strings.Split(text, " ") {
		next := line + " " + word
		if line == "" {
			next = word
		}
		if line != "" && p.letters.width(next, size, false) > width {
			lines = append(lines, line)
			next = word
		}
		line = next
	}
	return append(lines, line)
}

// invite tells what to do with an empty sheet.
func (b *Board) invite(p *painter, scale float64) {
	c := over(p.colours[scene.Faint], p.colours[scene.Paper])
	lines := []string{"Drag a part from the shelf to the sheet, or click it and then click here.", "Then drag from port to port to draw the runs."}
	for i, l := range lines {
		size := 15 * scale
		w := p.letters.width(l, size, false)
		p.letters.draw(p.img, l, (float64(p.img.Rect.Dx())-w)/2, float64(p.img.Rect.Dy())/2+float64(i)*size*1.6, size, false, false, c)
	}
}
