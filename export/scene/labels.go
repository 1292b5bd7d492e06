package scene

import (
	"rigline/components"
)

const (
	clearance = 2.0 // around a text
	lineGap   = 1.5 // between the room of a line and the text beside it
	nameWidth = 120 // at which a part's name is broken
	lineHalf  = 1.5 // of the least room that a line takes
)

// reserve chooses a first place for every part's label, before lines are drawn, so
// that lines keep off it where they can.
func (d *drawing) reserve() []Box {
	r := newRoom()
	for _, p := range d.doc.Parts() {
		d.takeSymbol(r, p)
	}
	var soft []Box
	for _, p := range d.doc.Parts() {
		if l, ok := d.labelSpot(p, r); ok {
			d.first[p.ID] = l
			r.take(l.box)
			soft = append(soft, l.box.grown(clearance+lineHalf))
		}
	}
	return soft
}

// takeSymbol takes the room of a symbol, its leads and the first module of the
// lines that will leave from it.
func (d *drawing) takeSymbol(r *room, p components.Part) {
	r.take(d.area(p))
	for _, l := range landingsOf(p) {
		out := steps[outward(l.Side)]
		r.take(Box{l.At, l.At}.with(Pt{l.At.X + float64(out.X*components.Module), l.At.Y + float64(out.Y*components.Module)}).
			with(Pt{l.At.X - float64(out.X*components.Module), l.At.Y - float64(out.Y*components.Module)}).grown(lineHalf))
	}
	for _, st := range p.Kind.Symbol(p.Spec).Strokes {
		r.take(strokeShape(st, p).Box().grown(0.5))
	}
}

// labels finds a place for every text that belongs to a part or a run.
func (d *drawing) labels() {
	r := d.room
	for _, p := range d.doc.Parts() {
		r.take(d.area(p))
		for _, st := range p.Kind.Symbol(p.Spec).Strokes {
			r.take(strokeShape(st, p).Box().grown(0.5))
		}
		for _, l := range landingsOf(p) {
			out := steps[outward(l.Side)]
			r.take(Box{l.At, l.At}.with(Pt{l.At.X - float64(out.X*components.Module), l.At.Y - float64(out.Y*components.Module)}).grown(lineHalf))
		}
	}
	for _, run := range d.doc.Runs() {
		path := d.sheet.Paths[run.ID]
		half := d.styles[run.ID].half()
		r.takeLine(path, half)
		for _, t := range d.routes.tails[run.ID] {
			r.takeLine(t, half)
		}
		for _, h := range d.routes.hops[run.ID] {
			r.take(Box{Pt{h.X - hopRadius, h.Y - hopRadius}, Pt{h.X + hopRadius, h.Y}}.grown(1))
		}
	}
	for _, q := range d.routes.dots {
		r.take(Box{q.at, q.at}.grown(dotRadius))
	}
	d.strayPorts()
	for _, p := range d.doc.Parts() {
		d.labelPart(p)
	}
	for _, run := range d.doc.Runs() {
		d.slash(run)
	}
	for _, run := range d.doc.Runs() {
		d.labelRun(run)
	}
	if d.o.Live != nil {
		for _, run := range d.doc.Runs() {
			d.labelLive(run)
		}
	}
}

// set draws a block in its spot and takes the room.
func (d *drawing) set(b block, s spot, address string, dim bool) {
	for _, sh := range b.shapes(s, address, LabelLayer) {
		if dim { // the letters of what is dead stay legible
			sh.Role = Faint
		}
		d.add(sh)
		d.room.take(sh.Box().grown(0.5))
	}
}

func joinFacts(facts []string) string {
	text := ""
	for i, f := range facts {
		if i > 0 {
			text += " · "
		}
		text += f
	}
	return text
}
