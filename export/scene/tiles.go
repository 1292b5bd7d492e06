package scene

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"rigline/components"
)

// Of a drawing on several sheets.
const (
	legibleScale = 0.72 // below which letters of 2.5 mm come out under 1.8 mm
	markRoom     = 26.0 // millimetres around a part of the drawing, for continuation marks
	cutSearch    = 0.2  // of a part's width: how far a cut may move from the even division
	barrier      = 3.0  // half of the strip along a cut that no text enters
)

// Sheets draws the document on one sheet, or where that would not be legible on the
// largest paper, on several. A line that goes on on another sheet ends at a mark
// with its tag and that sheet's number.
func (p *Plan) Sheets(o Options) []*Sheet {
	if !o.Frame || o.Live != nil {
		return []*Sheet{p.Draw(o)}
	}
	first := p.unmarked().with(o)
	area, _ := first.content() // without the marks
	area = area.grown(around)
	first.marks()
	if whole := first.finish(); whole.Scale >= legibleScale {
		return []*Sheet{whole}
	}
	paper := ansi[len(ansi)-1]
	if p.doc.Units == "metric" {
		paper = iso[len(iso)-1]
	}
	side := 0.0
	if o.List && len(o.Marks) > 0 {
		side = listWide
	}
	probe := drawing{doc: p.doc, o: o}
	w := (paper.width - leftMargin - margin - side - 2*(airAround+markRoom)) * UnitsPerMM
	h := (paper.height - 2*margin - bandHeight - probe.stripHeight(paper) - 2*(airAround+markRoom)) * UnitsPerMM
	c := cuts{
		xs: p.cut(area.Min.X, area.Max.X, w, func(q Pt) float64 { return q.X }),
		ys: p.cut(area.Min.Y, area.Max.Y, h, func(q Pt) float64 { return q.Y }),
	}
	d := p.drawing(o)
	d.cuts = c
	d.body()
	return d.tiled()
}

// cuts are where a drawing is parted, from left to right and from top to bottom.
type cuts struct{ xs, ys []float64 }

// tile is the part of the drawing, counted row by row, that a place lies in.
func (c cuts) tile(q Pt) int {
	column, row := 0, 0
	for column < len(c.xs) && q.X >= c.xs[column] {
		column++
	}
	for row < len(c.ys) && q.Y >= c.ys[row] {
		row++
	}
	return row*(len(c.xs)+1) + column
}

// cut parts a length into pieces no longer than most, where the fewest symbols and
// lines are in the way.
func (p *Plan) cut(from, to, most float64, along func(Pt) float64) []float64 {
	n := int((to-from)/most) + 1
	if n < 2 {
		return nil
	}
	even := (to - from) / float64(n)
	type span struct {
		from, to float64
		cost     int
	}
	var spans []span
	for _, q := range p.doc.Parts() {
		b := drawnArea(q).grown(2 * components.Module)
		spans = append(spans, span{along(b.Min), along(b.Max), 1000})
	}
	for _, path := range p.routes.paths {
		for i := 1; i < len(path); i++ {
			a, b := along(path[i-1]), along(path[i])
			cost := 1
			if a == b {
				cost = 300 // a cut along a line
			}
			spans = append(spans, span{min(a, b) - 3, max(a, b) + 3, cost})
		}
	}
	var all []float64
	for i := 1; i < n; i++ {
		ideal := from + even*float64(i)
		best, least := ideal, -1
		reach := even * cutSearch / 2
		for t := 0.0; t <= reach; t += components.Module / 2 {
			for _, x := range [2]float64{ideal - t, ideal + t} {
				x = floor(x/components.Module)*components.Module + components.Module/2
				cost := 0
				for _, s := range spans {
					if x > s.from && x < s.to {
						cost += s.cost
					}
				}
				if least < 0 || cost < least {
					best, least = x, cost
				}
			}
		}
		all = append(all, best)
	}
	return all
}

// bar keeps texts off the cuts.
func (d *drawing) bar() {
	if len(d.cuts.xs)+len(d.cuts.ys) == 0 {
		return
	}
	area, some := d.content()
	if !some {
		return
	}
	area = area.grown(100)
	for _, x := range d.cuts.xs {
		d.room.take(Box{Pt{x - barrier, area.Min.Y}, Pt{x + barrier, area.Max.Y}})
	}
	for _, y := range d.cuts.ys {
		d.room.take(Box{Pt{area.Min.X, y - barrier}, Pt{area.Max.X, y + barrier}})
	}
}

// goesOn is a place where lines cross from one sheet to another.
type goesOn struct {
	at       Pt
	from, to int // tiles
	upright  bool
	runs     []components.ID
}

// tiled deals the shapes out to the parts of the drawing and frames each.
func (d *drawing) tiled() []*Sheet {
	dealt := map[int][]Shape{}
	ends := map[Pt]*goesOn{}
	var order []Pt
	for _, sh := range d.sheet.Shapes {
		if sh.Form != Polyline || sh.Layer != RunLayer {
			home := sh.Box().centre()
			if b, ok := d.sheet.Bodies[components.ID(sh.Address)]; ok && sh.Layer == PartLayer {
				home = b.centre()
			}
			t := d.cuts.tile(home)
			dealt[t] = append(dealt[t], sh)
			continue
		}
		piece := sh
		piece.Pts = []Pt{sh.Pts[0]}
		for i := 1; i < len(sh.Pts); i++ {
			a, b := sh.Pts[i-1], sh.Pts[i]
			for _, q := range d.cuts.crossed(a, b) {
				piece.Pts = append(piece.Pts, q)
				before, after := d.cuts.tile(Pt{q.X - sign(b.X-a.X)*0.1, q.Y - sign(b.Y-a.Y)*0.1}), d.cuts.tile(Pt{q.X + sign(b.X-a.X)*0.1, q.Y + sign(b.Y-a.Y)*0.1})
				dealt[before] = append(dealt[before], piece)
				e, ok := ends[q]
				if !ok {
					e = &goesOn{at: q, from: before, to: after, upright: a.X == b.X}
					ends[q] = e
					order = append(order, q)
				}
				if id := components.ID(sh.Address); !slices.Contains(e.runs, id) {
					e.runs = append(e.runs, id)
				}
				piece = sh
				piece.Pts = []Pt{q}
			}
			piece.Pts = append(piece.Pts, b)
		}
		t := d.cuts.tile(Pt{(piece.Pts[len(piece.Pts)-1].X + piece.Pts[len(piece.Pts)-2].X) / 2, (piece.Pts[len(piece.Pts)-1].Y + piece.Pts[len(piece.Pts)-2].Y) / 2})
		dealt[t] = append(dealt[t], piece)
	}
	var tiles []int
	for t := range dealt {
		tiles = append(tiles, t)
	}
	slices.Sort(tiles)
	number := map[int]int{}
	for i, t := range tiles {
		number[t] = i + 1
	}
	for _, q := range order {
		e := ends[q]
		slices.SortFunc(e.runs, components.CompareIDs)
		dealt[e.from] = append(dealt[e.from], e.shapes(e.from, number[e.to])...)
		dealt[e.to] = append(dealt[e.to], e.shapes(e.to, number[e.from])...)
	}
	var sheets []*Sheet
	for i, t := range tiles {
		s := *d.sheet
		s.Shapes = dealt[t]
		s.Bodies = map[components.ID]Box{}
		for id, b := range d.sheet.Bodies {
			if d.cuts.tile(b.centre()) == t {
				s.Bodies[id] = b
			}
		}
		part := *d
		part.sheet = &s
		part.o.Meta.Sheet, part.o.Meta.Of = i+1, len(tiles)
		part.o.Marks = nil
		for _, m := range d.o.Marks {
			if slices.ContainsFunc(s.Shapes, func(sh Shape) bool { return sh.Layer == MarkLayer && sh.Address == m.Address }) {
				part.o.Marks = append(part.o.Marks, m)
			}
		}
		part.frame()
		s.Shapes = layered(s.Shapes)
		sheets = append(sheets, &s)
	}
	return sheets
}

// crossed are the places where a straight piece crosses cuts, in its direction.
func (c cuts) crossed(a, b Pt) []Pt {
	var all []Pt
	for _, x := range c.xs {
		if x > min(a.X, b.X) && x < max(a.X, b.X) {
			all = append(all, Pt{x, a.Y + (b.Y-a.Y)*(x-a.X)/(b.X-a.X)})
		}
	}
	for _, y := range c.ys {
		if y > min(a.Y, b.Y) && y < max(a.Y, b.Y) {
			all = append(all, Pt{a.X + (b.X-a.X)*(y-a.Y)/(b.Y-a.Y), y})
		}
	}
	slices.SortFunc(all, func(p, q Pt) int { return cmp.Compare(dist(a, p), dist(a, q)) })
	return all
}

func sign(v float64) float64 {
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0
}

// shapes draws the mark at the end of a line on one of the two sheets: an arrow
// head outwards, and behind it the tags and the other sheet's number.
func (e *goesOn) shapes(on, other int) []Shape {
	words := make([]string, len(e.runs))
	for i, id := range e.runs {
		words[i] = string(id)
	}
	out := 1.0 // to the right or down, where the sheets with higher numbers lie
	if on == max(e.from, e.to) {
		out = -1
	}
	const long, half, gap = 7.0, 3.0, 4.0
	address := words[0]
	text := Shape{Address: address, Layer: LabelLayer, Form: Text, Text: strings.Join(words, ", ") + " · sheet " + strconv.Itoa(other), Height: SmallHeight, Role: Ink}
	head := Shape{Address: address, Layer: LabelLayer, Form: Filled, Role: Ink}
	if e.upright {
		tip := Pt{e.at.X, e.at.Y + out*long}
		head.Pts = []Pt{tip, {e.at.X - half, e.at.Y}, {e.at.X + half, e.at.Y}}
		text.Angle, text.Pts = 90, []Pt{{e.at.X + SmallHeight/2, tip.Y + out*gap}}
		text.Anchor = End // read upwards: it ends at the head
		if out < 0 {
			text.Anchor = Start
		}
		return []Shape{head, text}
	}
	tip := Pt{e.at.X + out*long, e.at.Y}
	head.Pts = []Pt{tip, {e.at.X, e.at.Y - half}, {e.at.X, e.at.Y + half}}
	text.Pts = []Pt{{tip.X + out*gap, e.at.Y + SmallHeight/2}}
	if out < 0 {
		text.Anchor = End
	}
	return []Shape{head, text}
}
