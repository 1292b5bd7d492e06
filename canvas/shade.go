package canvas

import (
	"fmt"
	"image/color"
	"math"

	"rigline/canvas/session"
	"rigline/components"
	"rigline/export/scene"
	"rigline/rules"
)

// shading is what the colour behind the live runs tells.
type shading int

// The shadings.
const (
	bySource shading = iota
	byDrop
	noShade
)

// shadings are their names, in the state strip.
var shadings = []string{"Shade by source", "Shade by voltage lost", "No shade"}

// tints are the colours of sources: apart from each other, and from those of
// selection and findings, for an eye that tells red from green badly too. They lie
// faintly behind the lines, whose own colour and dash stay what they are.
var tints = []color.RGBA{{0x00, 0x9e, 0x8e, 0xff}, {0xe0, 0x8a, 0x1e, 0xff}, {0x8a, 0x4f, 0xc7, 0xff}, {0xc2, 0x3b, 0x8f, 0xff}, {0x7a, 0x8b, 0x1c, 0xff}, {0x4a, 0x7f, 0xb5, 0xff}, {0x8c, 0x5a, 0x2b, 0xff}, {0x5b, 0x67, 0x70, 0xff}}

// The drops at which a run is shaded amber and red, in per cent from the source:
// the informational notes of NEC 210.19(A) and 215.2(A) advise 3 % and 5 %.
const (
	fairDrop = 3
	poorDrop = 5
)

func tintOf(live *session.Live, src components.ID) color.RGBA {
	for i, id := range live.Order {
		if id == src {
			return tints[i%len(tints)]
		}
	}
	return tints[len(tints)-1]
}

func (p *painter) dropTint(lost float64) color.RGBA {
	switch {
	case lost > poorDrop:
		return over(p.colours[scene.Danger], p.colours[scene.Paper])
	case lost > fairDrop:
		return color.RGBA{0xe0, 0x8a, 0x1e, 0xff}
	}
	return over(p.colours[scene.Ground], p.colours[scene.Paper])
}

// shade lays a colour behind every live run.
func (p *painter) shade(d session.Drawing, by shading, scale float64) {
	live := d.Live
	if live == nil || by == noShade {
		return
	}
	wide := math.Max(8*scale, 9*p.zoom) // beyond the two lines of a heavy conductor
	strength := uint8(0x50)
	if dark() {
		strength = 0x80 // a tint is less seen on black than on white
	}
	for id, src := range live.By {
		path := d.Sheet.Paths[id]
		if len(path) < 2 || live.On[id].Dead {
			continue
		}
		c := tintOf(live, src)
		if by == byDrop {
			lost, known := live.Lost[id]
			if !known {
				continue
			}
			c = p.dropTint(lost)
		}
		// Mixed with the paper once, so that pieces that overlap do not add up.
		c = over(color.NRGBA{c.R, c.G, c.B, strength}, p.colours[scene.Paper])
		for i := 1; i < len(path); i++ {
			p.piece(path[i-1], path[i], wide, true, c)
		}
	}
}

// legend tells what the shades mean, at the lower left of the window.
func (b *Board) legend(p *painter, scale float64) {
	live, ok := b.s.Live()
	if !ok || b.shade == noShade {
		return
	}
	type line struct {
		c    color.RGBA
		text string
	}
	var lines []line
	if b.shade == bySource {
		for _, id := range live.Order {
			text := "net of " + b.nameOf(id)
			if with := live.With[id]; len(with) > 0 { // by their tags alone
				text = "net of " + string(id)
				for _, other := range with {
					text += ", " + string(other)
				}
			}
			lines = append(lines, line{tintOf(live, id), text})
		}
	} else {
		lines = []line{{p.dropTint(0), fmt.Sprintf("less than %d %% lost", fairDrop)}, {p.dropTint(fairDrop + 1), fmt.Sprintf("%d to %d %%", fairDrop, poorDrop)}, {p.dropTint(poorDrop + 1), fmt.Sprintf("over %d %%", poorDrop)}}
	}
	if live.Failed != "" {
		lines = nil
	}
	if len(lines) == 0 {
		return
	}
	size, pad := 12*scale, 6*scale
	lead := size * 1.5
	w := 0.0
	for _, l := range lines {
		w = math.Max(w, p.letters.width(l.text, size, false))
	}
	x, y := 10*scale, float64(p.img.Rect.Dy())-lead*float64(len(lines))-2*pad-10*scale
	ink := over(p.colours[scene.Ink], p.colours[scene.Paper])
	back := over(p.colours[scene.Paper], p.colours[scene.Paper])
	p.rect(x, y, x+w+size+4*pad, y+lead*float64(len(lines))+2*pad, back)
	p.frame(x, y, x+w+size+4*pad, y+lead*float64(len(lines))+2*pad, scale, over(p.colours[scene.Faint], p.colours[scene.Paper]))
	for i, l := range lines {
		top := y + pad + lead*float64(i)
		p.rect(x+pad, top+2*scale, x+pad+size, top+size, over(color.NRGBA{l.c.R, l.c.G, l.c.B, 0x90}, p.colours[scene.Paper]))
		p.letters.draw(p.img, l.text, x+2*pad+size, top+size, size, false, false, ink)
	}
}

func (p *painter) frame(x0, y0, x1, y1, scale float64, c color.RGBA) {
	t := math.Ceil(scale)
	for _, e := range [][4]float64{{x0, y0, x1, y0 + t}, {x0, y1 - t, x1, y1}, {x0, y0, x0 + t, y1}, {x1 - t, y0, x1, y1}} {
		p.rect(e[0], e[1], e[2], e[3], c)
	}
}

func (b *Board) nameOf(id components.ID) string {
	if p, ok := b.s.Doc().Part(id); ok && p.Name != "" {
		return string(id) + ", " + p.Name
	}
	return string(id)
}

// tags writes the words of the chosen state at their places: where neutral and
// ground meet, and what a fault leaves the loads.
func (b *Board) tags(p *painter, scale float64) {
	live, ok := b.s.Live()
	if !ok {
		return
	}
	size, pad := 11.5*scale, 3*scale
	for i, at := range b.plates(p, live.Tags, size, pad, 2*scale) {
		if at == (plate{}) {
			continue
		}
		t := live.Tags[i]
		ink, back := over(p.colours[scene.Paper], p.colours[scene.Paper]), over(p.colours[scene.Ground], p.colours[scene.Paper])
		switch t.Level {
		case rules.Danger:
			back = over(p.colours[scene.Danger], p.colours[scene.Paper])
		case rules.Violation, rules.Advice:
			back = over(p.colours[scene.Advice], p.colours[scene.Paper])
		}
		p.rect(at.x0, at.y0, at.x1, at.y1, back)
		p.letters.draw(p.img, t.Text, at.x0+pad, at.y0+pad+size*0.95, size, true, false, ink)
	}
}

// plates are the places of tags, the zero plate for one whose part is gone.
func (b *Board) plates(p *painter, tags []session.Tag, size, pad, gap float64) []plate {
	laid := make([]plate, len(tags))
	for i, t := range tags {
		id, ok := b.s.Owner(t.At)
		if !ok {
			continue
		}
		if box, ok := b.s.BoxOf(id); ok {
			x0, y0 := p.px(box.Min)
			x1, y1 := p.px(box.Max)
			laid[i] = p.spot(b.s.Drawing(), laid[:i], plate{x0, y0, x1, y1}, p.letters.width(t.Text, size, true)+2*pad, size*1.2+2*pad, gap)
		}
	}
	return laid
}

// plate is an area of the picture.
type plate struct{ x0, y0, x1, y1 float64 }

func (a plate) meets(b plate) bool { return a.x0 < b.x1 && a.x1 > b.x0 && a.y0 < b.y1 && a.y1 > b.y0 }

// spot is the place around a symbol, the nearer the better, where a plate is whole in
// the picture and covers the fewest words and symbols and none of the plates that are
// laid.
func (p *painter) spot(d session.Drawing, laid []plate, of plate, w, h, gap float64) plate {
	mid := (of.x0 + of.x1) / 2
	var best plate
	least := math.MaxInt
	for far := range 4 {
		more := gap + float64(far)*(h+gap)/2
		for _, at := range [][2]float64{
			{mid - w/2, of.y1 + more}, {mid - w/2, of.y0 - more - h}, {of.x1 + more, (of.y0+of.y1)/2 - h/2}, {of.x0 - more - w, (of.y0+of.y1)/2 - h/2},
			{of.x1 + gap, of.y1 + more}, {of.x0 - gap - w, of.y1 + more}, {of.x1 + gap, of.y0 - more - h}, {of.x0 - gap - w, of.y0 - more - h},
		} {
			q := plate{at[0], at[1], at[0] + w, at[1] + h}
			n := 2*p.words(d, q) + p.bodies(d, q)
			if r := p.img.Rect; q.x0 < float64(r.Min.X) || q.y0 < float64(r.Min.Y) || q.x1 > float64(r.Max.X) || q.y1 > float64(r.Max.Y) {
				n += 10
			}
			for _, o := range laid {
				if q.meets(o) {
					n += 20
				}
			}
			if n == 0 {
				return q
			}
			if n < least {
				best, least = q, n
			}
		}
	}
	return best
}

// bodies counts the symbols that lie under a place of the picture.
func (p *painter) bodies(d session.Drawing, q plate) int {
	if d.Sheet == nil {
		return 0
	}
	n := 0
	for _, b := range d.Sheet.Bodies {
		x0, y0 := p.px(b.Min)
		x1, y1 := p.px(b.Max)
		if q.meets(plate{x0, y0, x1, y1}) {
			n++
		}
	}
	return n
}

// words counts the texts of the sheet that lie under a place of the picture. On a
// sheet with very many it does not look.
func (p *painter) words(d session.Drawing, q plate) int {
	if d.Sheet == nil || len(d.Boxes) > 20000 {
		return 0
	}
	n := 0
	for i, b := range d.Boxes {
		if d.Sheet.Shapes[i].Form != scene.Text {
			continue
		}
		x0, y0 := p.px(b.Min)
		x1, y1 := p.px(b.Max)
		if q.meets(plate{x0, y0, x1, y1}) {
			n++
		}
	}
	return n
}
