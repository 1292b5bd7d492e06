package scene

import "rigline/components"

// parts draws every symbol and notes where its body and its landings are.
func (d *drawing) parts() {
	for _, p := range d.doc.Parts() {
		id := string(p.ID)
		d.sheet.Names[id] = d.nameOf(p)
		sym := p.Kind.Symbol(p.Spec)
		d.sheet.Bodies[p.ID] = bodyOf(p, sym)
		for _, st := range sym.Strokes {
			sh := strokeShape(st, p)
			sh.Address, sh.Layer, sh.Role = id, PartLayer, Ink
			sh.Dim = d.o.Live[p.ID].Dead
			d.add(sh)
		}
		if p.Gone() {
			d.strike(p)
		}
		d.sheet.Ports = append(d.sheet.Ports, landingsOf(p)...)
	}
}

// strike crosses a symbol out that leaves the rig.
func (d *drawing) strike(p components.Part) {
	b := d.sheet.Bodies[p.ID].grown(2)
	for _, pts := range [][]Pt{{b.Min, b.Max}, {{b.Min.X, b.Max.Y}, {b.Max.X, b.Min.Y}}} {
		d.add(Shape{Address: string(p.ID), Layer: PartLayer, Form: Polyline, Pts: pts, Role: Ink, Weight: components.Thin, Dim: d.o.Live[p.ID].Dead})
	}
}

func (d *drawing) nameOf(p components.Part) string {
	name := string(p.ID) + " " + d.say(p.Kind.Title)
	if p.Name != "" {
		name += ", " + p.Name
	}
	return name
}

func at(p components.Part, q components.Point) Pt {
	q = q.Turned(p.Turn).Add(p.At)
	return Pt{float64(q.X), float64(q.Y)}
}

func bodyOf(p components.Part, sym components.Symbol) Box {
	a, b := at(p, sym.Body.Min), at(p, sym.Body.Max)
	return Box{a, a}.with(b)
}

// strokeShape puts a stroke of a symbol on the sheet, turned with its part.
// Letters stay upright.
func strokeShape(st components.Stroke, p components.Part) Shape {
	sh := Shape{Weight: st.Weight, R: float64(st.R)}
	if p.Status == components.Existing || p.Gone() {
		sh.Weight = min(sh.Weight, components.Thin)
	}
	for _, q := range st.Pts {
		sh.Pts = append(sh.Pts, at(p, q))
	}
	switch st.Shape {
	case components.Polyline:
		sh.Form = Polyline
	case components.Polygon:
		sh.Form = Polygon
	case components.Filled:
		sh.Form = Filled
	case components.Circle:
		sh.Form = Circle
	case components.Disc:
		sh.Form = Disc
	case components.Arc:
		sh.Form = Arc
		sh.From, sh.To = float64(st.From+p.Turn), float64(st.To+p.Turn)
	case components.Letters:
		sh.Form, sh.Text, sh.Anchor = Text, st.Text, Middle
		sh.Height, sh.R = float64(st.R), 0
		sh.Pts[0].Y += sh.Height / 2
	}
	return sh
}

// landingsOf are the places where runs may end at a part.
func landingsOf(p components.Part) []PortAt {
	var all []PortAt
	for _, port := range p.Ports() {
		if port.Landings == nil {
			all = append(all, landingAt(p, port, components.Landing{At: port.At}))
			continue
		}
		for _, l := range port.Landings {
			all = append(all, landingAt(p, port, l))
		}
	}
	return all
}

// landingAt puts a landing on the sheet; Ports has turned it already.
func landingAt(p components.Part, port components.Port, l components.Landing) PortAt {
	q := l.At.Add(p.At)
	return PortAt{p.Ref(port.Name), Pt{float64(q.X), float64(q.Y)}, port.Side, l.Pole}
}

// leads draws the leads that a symbol lacks, where conductors of different poles
// land at one port.
func (d *drawing) leads() {
	seen := map[landingKey]bool{}
	for _, r := range d.doc.Runs() {
		for _, end := range []runEnd{{r.ID, false}, {r.ID, true}} {
			l, ok := d.routes.lands[end]
			if !ok || !l.lead || seen[l.key] {
				continue
			}
			seen[l.key] = true
			p, _ := d.doc.Part(l.key.ref.Part)
			const inset = 4
			at := Pt{float64(l.at.X), float64(l.at.Y)}
			b := d.area(p)
			to := nearest(Box{Pt{b.Min.X, b.Min.Y + inset}, Pt{b.Max.X, b.Max.Y - inset}}, at)
			if l.outs[0] == north || l.outs[0] == south {
				to = nearest(Box{Pt{b.Min.X + inset, b.Min.Y}, Pt{b.Max.X - inset, b.Max.Y}}, at)
			}
			sh := Shape{Address: string(p.ID), Layer: PartLayer, Form: Polyline, Pts: []Pt{at, to}, Role: Ink, Weight: components.Wide, Dim: d.o.Live[p.ID].Dead}
			if p.Status == components.Existing {
				sh.Weight = components.Thin
			}
			d.add(sh)
			d.room.take(sh.Box().grown(lineHalf))
		}
	}
}
