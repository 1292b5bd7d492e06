package scene

import (
	"rigline/components"
)

// legend shows the symbols that the sheet uses, in the order of the catalogue.
func (f *framing) legend(x, y, w float64) {
	used := map[*components.Kind]bool{}
	for _, p := range f.d.doc.Parts() {
		used[p.Kind] = true
	}
	var kinds []*components.Kind
	for _, k := range components.Catalog {
		if used[k] {
			kinds = append(kinds, k)
		}
	}
	f.text(x, y+plain, plain, "Symbols", true, Ink, Start)
	if len(kinds) == 0 {
		return
	}
	const columns = 3
	y += plain + 2
	rows := max(4, (len(kinds)+columns-1)/columns)
	cell := (bandHeight - plain - 5) / float64(rows)
	wide := w / columns
	for i, k := range kinds {
		cx, cy := x+wide*float64(i/rows), y+cell*float64(i%rows)
		f.sample(k, cx, cy+0.4, 12, cell-0.8)
		f.under(cx+14, cy+cell/2+tiny/2, wide-15, f.d.say(k.Title))
	}
}

// sample draws a kind's symbol as large as fits into an area, at most at half its size.
func (f *framing) sample(k *components.Kind, x, y, w, h float64) {
	p := components.Part{ID: "", Kind: k}
	sym := k.Symbol(nil)
	var shapes []Shape
	var area Box
	for i, st := range sym.Strokes {
		sh := strokeShape(st, p)
		if i == 0 {
			area = sh.Box()
		}
		area = area.union(sh.Box())
		shapes = append(shapes, sh)
	}
	if len(shapes) == 0 {
		return
	}
	scale := min(w/area.width(), h/area.height(), 0.5/UnitsPerMM) // millimetres a unit
	c, at := area.centre(), Pt{x + w/2, y + h/2}
	for _, sh := range shapes {
		if sh.Form == Text && sh.Height*scale < 1 { // too small to be read
			continue
		}
		for i, q := range sh.Pts {
			sh.Pts[i] = f.pt(Pt{at.X + (q.X-c.X)*scale, at.Y + (q.Y-c.Y)*scale})
		}
		sh.R *= scale * f.u
		sh.Height *= scale * f.u
		sh.Layer, sh.Role, sh.Weight = FrameLayer, Ink, min(sh.Weight, components.Thin)
		f.d.add(sh)
	}
}

// keyRow is a line of the conductor key.
type keyRow struct {
	style Style
	text  string
	mark  string // slash, hop, dot, cross or none
}

// key shows how conductors are drawn, as far as the sheet has them.
func (f *framing) key(x, y float64) {
	f.text(x, y+plain, plain, "Conductors", true, Ink, Start)
	y += plain + 2.4
	rows := f.d.keyRows()
	step := min(4.4, (bandHeight-plain-5)/float64(max(len(rows), 1)))
	for i, r := range rows {
		cy := y + step*(float64(i)+0.5)
		f.keyLine(r, x, cy)
		l := f.fit(r.text, tiny, keyWide-24, false)
		f.text(x+20, cy+tiny/2, l.height, l.text, false, Ink, Start)
	}
}

func (d *drawing) keyRows() []keyRow {
	used := map[Role]bool{}
	var several, existing, gone, heavy bool
	for _, r := range d.doc.Runs() {
		st := d.styles[r.ID]
		used[st.Role] = true
		several = several || d.cores[r.ID] > 1
		existing = existing || r.Status == components.Existing
		gone = gone || r.Gone()
		heavy = heavy || st.Weight == components.Heavy
	}
	for _, p := range d.doc.Parts() {
		existing = existing || p.Status == components.Existing
		gone = gone || p.Gone()
	}
	wide := components.Wide
	var rows []keyRow
	for _, k := range []keyRow{
		{Style{Hot1, Solid, wide}, "hot, leg 1", ""}, {Style{Hot2, ShortDash, wide}, "hot, leg 2", ""}, {Style{Neutral, LongDash, wide}, "neutral", ""},
		{Style{Ground, DashDot, wide}, "ground, chassis", ""}, {Style{DCPos, Edged, wide}, "DC positive", ""}, {Style{DCNeg, EdgedLongDash, wide}, "DC negative", ""},
		{Style{PV, EdgedShortDash, components.Thin}, "from the solar array", ""},
	} {
		if used[k.style.Role] {
			rows = append(rows, k)
		}
	}
	if !used[Hot2] && used[Hot1] {
		rows[0].text = "hot"
	}
	ink := func(w components.Weight) Style { return Style{Ink, Solid, w} }
	if several {
		rows = append(rows, keyRow{ink(wide), "several conductors, here three", "slash"})
	}
	if heavy {
		rows = append(rows, keyRow{Style{Ink, Edged, components.Heavy}, "DC main", ""})
	}
	if existing || gone {
		rows = append(rows, keyRow{ink(wide), "new", ""})
	}
	if existing {
		rows = append(rows, keyRow{ink(components.Thin), "existing", ""})
	}
	if gone {
		rows = append(rows, keyRow{ink(components.Thin), "comes out", "cross"})
	}
	if len(d.routes.hops) > 0 {
		rows = append(rows, keyRow{ink(wide), "crossing, not joined", "hop"})
	}
	if len(d.routes.dots) > 0 {
		rows = append(rows, keyRow{ink(wide), "joined", "dot"})
	}
	if d.asks {
		rows = append(rows, keyRow{ink(components.Thin), "cloud: a figure is not known", "ask"})
	}
	for i, r := range rows {
		rows[i].text = d.say(r.text)
	}
	return rows
}

func (f *framing) keyLine(r keyRow, x, y float64) {
	const long = 17
	ink := Shape{Layer: FrameLayer, Role: r.style.Role, Weight: r.style.Weight, Dash: r.style.Dash}
	line := func(pts ...Pt) {
		sh := ink
		sh.Form = Polyline
		for _, p := range pts {
			sh.Pts = append(sh.Pts, f.pt(p))
		}
		f.d.add(sh)
	}
	mid := x + long/2
	switch r.mark {
	case "ask":
		for _, sh := range (Mark{Level: UncheckedMark, Letters: "?"}).shapes(f.pt(Pt{mid, y}), 1.8*f.u, FrameLayer) {
			f.d.add(sh)
		}
		return
	case "hop":
		const r = 0.9
		line(Pt{x, y}, Pt{mid - r, y})
		line(Pt{mid + r, y}, Pt{x + long, y})
		line(Pt{mid, y - 1.6}, Pt{mid, y + 1.6})
		sh := ink
		sh.Form, sh.Pts, sh.R, sh.From, sh.To = Arc, []Pt{f.pt(Pt{mid, y})}, r*f.u, 180, 360
		f.d.add(sh)
		return
	case "dot":
		line(Pt{mid, y}, Pt{mid, y + 1.6})
		sh := ink
		sh.Form, sh.Pts, sh.R = Disc, []Pt{f.pt(Pt{mid, y})}, 0.6*f.u
		f.d.add(sh)
	case "slash":
		line(Pt{mid - 1, y + 1}, Pt{mid + 1, y - 1})
		f.text(mid+1.6, y-0.6, tiny*0.8, "3", false, Ink, Start)
	case "cross":
		for _, c := range []float64{x + long/4, x + long*3/4} {
			line(Pt{c - 0.8, y - 0.8}, Pt{c + 0.8, y + 0.8})
			line(Pt{c - 0.8, y + 0.8}, Pt{c + 0.8, y - 0.8})
		}
	}
	line(Pt{x, y}, Pt{x + long, y})
}
