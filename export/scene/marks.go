package scene

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"rigline/components"
)

const markRadius = 8

// Role is the colour of a mark.
func (l Level) Role() Role {
	switch l {
	case DangerMark:
		return Danger
	case ViolationMark:
		return Violation
	case AdviceMark:
		return Advice
	}
	return Faint
}

// outline gives each level its own form: octagon, triangle, circle, and a square
// for what could not be checked.
func (l Level) outline(c Pt, r float64) Shape {
	sh := Shape{Form: Filled, Role: l.Role(), Weight: components.Thin}
	corners, turn, size := 0, 0.0, r
	switch l {
	case DangerMark:
		corners, turn, size = 8, math.Pi/8, r*1.06
	case ViolationMark:
		corners, turn, size = 3, -math.Pi/2, r*1.5
		c.Y += r * 0.18
	case UncheckedMark:
		corners, turn, size = 4, math.Pi/4, r*1.2
	default:
		sh.Form, sh.Pts, sh.R = Disc, []Pt{c}, r
		return sh
	}
	for i := range corners {
		a := turn + 2*math.Pi*float64(i)/float64(corners)
		sh.Pts = append(sh.Pts, Pt{c.X + size*math.Cos(a), c.Y + size*math.Sin(a)})
	}
	return sh
}

// Sample draws the mark as a list beside the drawing shows it.
func (m Mark) Sample(c Pt, r float64) []Shape { return m.shapes(c, r, MarkLayer) }

// half is half of the room that a mark takes.
func (m Mark) half(r float64) (w, h float64) {
	if m.Letters != "" {
		return TextWidth(m.Letters, r, true)*slack/2 + 4, r*0.5 + 4
	}
	return r * 1.5, r * 1.5
}

// plate draws a mark of letters: white on a filled oblong.
func (m Mark) plate(c Pt, r float64, layer Layer) []Shape {
	w, h := m.half(r)
	b := boxAt(c, 2*w-2, 2*h-2)
	return []Shape{
		{Address: m.Address, Layer: layer, Form: Filled, Role: m.Level.Role(), Pts: []Pt{b.Min, {b.Max.X, b.Min.Y}, b.Max, {b.Min.X, b.Max.Y}}},
		{Address: m.Address, Layer: layer, Form: Text, Text: m.Letters, Height: r, Bold: true, Anchor: Middle, Role: Clear, Pts: []Pt{{c.X, c.Y + r/2}}},
	}
}

// mark draws a mark with its number around a centre.
func (m Mark) shapes(c Pt, r float64, layer Layer) []Shape {
	if m.Letters != "" {
		return m.plate(c, r, layer)
	}
	sh := m.Level.outline(c, r)
	sh.Address, sh.Layer = m.Address, layer
	all := []Shape{sh}
	if m.Number > 0 {
		text := strconv.Itoa(m.Number)
		h := r * 0.95
		if len(text) > 2 || m.Level == ViolationMark && len(text) > 1 {
			h = r * 0.75
		}
		all = append(all, Shape{Address: m.Address, Layer: layer, Form: Text, Text: text, Height: h, Bold: true, Anchor: Middle, Role: Clear, Pts: []Pt{{c.X, c.Y + h/2}}})
	}
	return all
}

// marks puts each finding's mark at the nearest free place to what it is about.
// Where a list stands beside the drawing, a cloud goes round each marked part.
func (d *drawing) marks() {
	clouded := map[string]bool{}
	if d.o.Frame && !d.listed() {
		d.unknowns()
	}
	for _, m := range d.o.Marks {
		at, ok := d.markPlace(m.Address)
		if !ok {
			continue
		}
		part, _, _ := strings.Cut(m.Address, ".")
		if body, ok := d.sheet.Bodies[components.ID(part)]; ok && d.listed() && !clouded[part] {
			clouded[part] = true
			d.cloudPart(part, body, m)
		}
		w, h := m.half(markRadius)
		d.add(m.shapes(d.freeMark(at, w, h), markRadius, MarkLayer)...)
	}
}

// unknowns puts a cloud with a question mark at each part that lacks a figure which
// a survey has to bring.
func (d *drawing) unknowns() {
	for _, p := range d.doc.Parts() {
		if p.Gone() || !lacks(p) {
			continue
		}
		d.asks = true
		m := Mark{Address: string(p.ID), Level: UncheckedMark, Letters: "?"}
		d.cloudPart(string(p.ID), d.sheet.Bodies[p.ID], m)
		b := d.sheet.Bodies[p.ID]
		w, h := m.half(markRadius)
		d.add(m.shapes(d.freeMark(Pt{b.Max.X, b.Min.Y}, w, h), markRadius, MarkLayer)...)
	}
}

// lacks tells whether a figure of a part is told to be unknown, or one that it must
// have is missing.
func lacks(p components.Part) bool {
	for i := range p.Kind.Fields {
		f := &p.Kind.Fields[i]
		if v, told := p.Spec[f.Key]; told && v.IsUnknown() {
			return true
		} else if f.Required && !told {
			if _, from := f.Of(p.Spec); from == components.Missing {
				return true
			}
		}
	}
	return false
}

// cloudPart draws a cloud around a symbol with its tag, or around the symbol alone
// where the larger one would run through a text; where both would, none.
func (d *drawing) cloudPart(part string, body Box, m Mark) {
	whole := body
	for ; d.measured < len(d.sheet.Shapes); d.measured++ { // each text is measured once for all clouds
		if sh := d.sheet.Shapes[d.measured]; sh.Form == Text && sh.Layer != PartLayer {
			d.texts = append(d.texts, textBox{sh.Address, sh.Box()})
		}
	}
	for _, t := range d.texts {
		if t.address == part {
			whole = whole.union(t.Box)
		}
	}
	var texts []Box
	const reach = 20 // beyond the widest cloud
	for _, t := range d.texts {
		if t.meets(whole.grown(reach)) {
			texts = append(texts, t.Box)
		}
	}
	for _, b := range []Box{whole.grown(5), whole.grown(8), body.grown(5), body.grown(8)} {
		c := cloud(b, m.Address, MarkLayer, m.Level.Role())
		if !slices.ContainsFunc(texts, func(t Box) bool {
			return slices.ContainsFunc(c, func(sh Shape) bool { return bulge(sh).meets(t) })
		}) {
			d.add(c...)
			for _, sh := range c {
				d.room.take(bulge(sh))
			}
			return
		}
	}
}

// textBox is a text's area with what it belongs to.
type textBox struct {
	address string
	Box
}

// listed tells whether the marks are explained beside the drawing.
func (d *drawing) listed() bool { return d.o.Frame && d.o.List && len(d.o.Marks) > 0 }

// markPlace is where a mark would best stand: at the upper right of a part, beside
// a port, at the middle of a run's longest piece.
func (d *drawing) markPlace(address string) (Pt, bool) {
	if b, ok := d.sheet.Bodies[components.ID(address)]; ok {
		return Pt{b.Max.X, b.Min.Y}, true
	}
	if path := d.sheet.Paths[components.ID(address)]; len(path) > 1 {
		p := pieces(path)[0]
		return Pt{(p.a.X + p.b.X) / 2, (p.a.Y + p.b.Y) / 2}, true
	}
	for _, p := range d.sheet.Ports {
		if p.Ref.String() == address {
			return p.At, true
		}
	}
	part, _, found := strings.Cut(address, ".")
	if b, ok := d.sheet.Bodies[components.ID(part)]; found && ok {
		return Pt{b.Max.X, b.Min.Y}, true
	}
	return Pt{}, false
}

// freeMark finds room for a mark of half a width and half a height near a place
// and takes it.
func (d *drawing) freeMark(at Pt, w, h float64) Pt {
	for ring := 0; ; ring++ {
		n := max(1, 8*ring)
		for k := range n {
			a := -math.Pi/4 + 2*math.Pi*float64(k)/float64(n)
			c := Pt{at.X + float64(ring)*6*math.Cos(a), at.Y + float64(ring)*6*math.Sin(a)}
			if b := boxAt(c, 2*w, 2*h); d.room.free(b) {
				d.room.take(b)
				return c
			}
		}
	}
}

// cloud is a wavy outline around an area, of arcs that bulge outwards.
func cloud(b Box, address string, layer Layer, role Role) []Shape {
	var all []Shape
	side := func(from, to Pt, deg float64) {
		long := dist(from, to)
		n := max(1, int(long/11+0.5))
		r := long / float64(n) / 2
		for i := range n {
			t := (float64(i) + 0.5) / float64(n)
			c := Pt{from.X + (to.X-from.X)*t, from.Y + (to.Y-from.Y)*t}
			all = append(all, Shape{Address: address, Layer: layer, Form: Arc, Pts: []Pt{c}, R: r, From: deg, To: deg + 180, Role: role, Weight: components.Thin})
		}
	}
	side(b.Min, Pt{b.Max.X, b.Min.Y}, 180)
	side(Pt{b.Max.X, b.Min.Y}, b.Max, 270)
	side(b.Max, Pt{b.Min.X, b.Max.Y}, 0)
	side(Pt{b.Min.X, b.Max.Y}, b.Min, 90)
	return all
}

// bulge is the half of a circle's area that an arc of a cloud fills.
func bulge(sh Shape) Box {
	b := sh.Box()
	switch c := sh.Pts[0]; sh.From {
	case 180:
		b.Max.Y = c.Y
	case 0:
		b.Min.Y = c.Y
	case 270:
		b.Min.X = c.X
	default:
		b.Max.X = c.X
	}
	return b
}
