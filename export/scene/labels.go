package scene

import (
	"cmp"
	"iter"
	"math"
	"slices"

	"rigline/components"
)

const (
	clearance = 2.0 // around a text
	lineGap   = 3.0 // between a line and the text beside it
	nameWidth = 120 // at which a part's name is broken
	lineHalf  = 1.5 // of the room that a line takes
)

// partLabel is what stands beside a symbol: tag, name and rating, in lines no wider
// than a width.
func (d *drawing) partLabel(p components.Part, width float64) block {
	b := block{{string(p.ID), TagHeight, true, Ink}}
	if p.Name != "" {
		for _, l := range wrap(p.Name, SmallHeight, width, false) {
			b = append(b, words{l, SmallHeight, false, Ink})
		}
	}
	if rating := p.Kind.Rating(p.Spec); rating != "" {
		for _, l := range wrap(d.say(rating), SmallHeight, width, false) {
			b = append(b, words{l, SmallHeight, false, Faint})
		}
	}
	return b
}

// drawnArea is what the symbol covers, its leads left out.
func drawnArea(p components.Part) Box {
	return bodyOf(p, p.Kind.Symbol(p.Spec))
}

// partSpots are the places for a part's label, the best first: sides without ports,
// above before below before right before left.
func partSpots(p components.Part, w, h float64) iter.Seq[spot] {
	body := drawnArea(p)
	taken := map[components.Side]bool{}
	bar := false
	for _, port := range p.Ports() {
		taken[port.Side] = true
		if body.holds(Pt{float64(port.At.X + p.At.X), float64(port.At.Y + p.At.Y)}) {
			bar = true
			taken[port.Side.Turned(180)] = true
		}
	}
	order := []components.Side{components.Top, components.Bottom, components.Right, components.Left}
	if taken[components.Left] && len(taken) == 1 { // a load: its text reads on from its line
		order = []components.Side{components.Right, components.Top, components.Bottom, components.Left}
	}
	if bar && body.width() < body.height() {
		order = []components.Side{components.Top, components.Bottom, components.Right, components.Left}
	}
	slices.SortStableFunc(order, func(a, b components.Side) int { return cmp.Compare(b2i(taken[a]), b2i(taken[b])) })
	return func(yield func(spot) bool) {
		for _, gap := range [...]float64{4, 10, 16, 24} {
			for _, side := range order {
				if taken[side] && gap > 16 {
					continue
				}
				for s := range sideSpots(body, side, w, h, gap) {
					if !yield(s) {
						return
					}
				}
			}
		}
	}
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// sideSpots are the places along one side of an area: the middle, then flush with
// either end, then past it.
func sideSpots(b Box, side components.Side, w, h, gap float64) iter.Seq[spot] {
	c := b.centre()
	return func(yield func(spot) bool) {
		switch side {
		case components.Top, components.Bottom:
			y := b.Min.Y - gap - h
			if side == components.Bottom {
				y = b.Max.Y + gap
			}
			for _, s := range [...]struct {
				x      float64
				anchor Anchor
			}{{c.X - w/2, Middle}, {b.Min.X, Start}, {b.Max.X - w, End}, {c.X + 5, Start}, {c.X - 5 - w, End}, {b.Max.X + 4, Start}, {b.Min.X - 4 - w, End}} {
				if !yield(spot{Box{Pt{s.x, y}, Pt{s.x + w, y + h}}, s.anchor, 0, false}) {
					return
				}
			}
		default:
			x, anchor := b.Max.X+gap, Start
			if side == components.Left {
				x, anchor = b.Min.X-gap-w, End
			}
			for _, y := range [...]float64{c.Y - h/2, b.Min.Y, b.Max.Y - h, c.Y + 4, c.Y - 4 - h, b.Max.Y + 2, b.Min.Y - 2 - h} {
				if !yield(spot{Box{Pt{x, y}, Pt{x + w, y + h}}, anchor, 0, false}) {
					return
				}
			}
		}
	}
}

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
	r.take(drawnArea(p))
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
		r.take(drawnArea(p))
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
		r.takeLine(path, lineHalf)
		for _, t := range d.routes.tails[run.ID] {
			r.takeLine(t, lineHalf)
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

func (d *drawing) labelPart(p components.Part) {
	dim := d.o.Live[p.ID].Dead
	l, ok := d.first[p.ID]
	if !ok || !d.room.free(l.box.grown(clearance)) {
		l, ok = d.labelSpot(p, d.room)
	}
	if ok {
		d.set(l.block, l.spot, string(p.ID), dim)
		return
	}
	d.lead(d.partLabel(p, nameWidth), drawnArea(p), string(p.ID), dim)
}

// label is a block and where it stands.
type label struct {
	block
	spot
}

// labelSpot is the best free place for a part's label, in the widest lines that have
// one.
func (d *drawing) labelSpot(p components.Part, r *room) (label, bool) {
	for _, width := range [...]float64{nameWidth, 72, 50} {
		b := d.partLabel(p, width)
		w, h := b.size()
		for s := range partSpots(p, w, h) {
			if r.free(s.box.grown(clearance)) {
				return label{b, s}, true
			}
		}
	}
	return label{}, false
}

// strayPorts names the circuits of a panel that no run leaves from.
func (d *drawing) strayPorts() {
	for _, p := range d.doc.Parts() {
		if p.Kind.Role != components.Distributes {
			continue
		}
		for _, port := range p.Ports() {
			if port.Title == "" || port.Name == "main" || port.Name == "feed" || len(d.doc.RunsAt(p.Ref(port.Name))) > 0 {
				continue
			}
			b := block{{port.Title, SmallHeight, false, Faint}}
			w, h := b.size()
			at := port.At.Add(p.At)
			for s := range sideSpots(boxAt(Pt{float64(at.X), float64(at.Y)}, 0, 0), port.Side, w, h, 4) {
				if d.room.free(s.box.grown(0.5)) {
					d.set(b, s, p.Ref(port.Name).String(), d.o.Live[p.ID].Dead)
					break
				}
			}
		}
	}
}

// piece is a straight piece of a line.
type piece struct {
	a, b Pt
	long float64
}

// pieces are the straight pieces of a line, the longest first.
func pieces(path []Pt) []piece {
	var all []piece
	for i := 1; i < len(path); i++ {
		all = append(all, piece{path[i-1], path[i], dist(path[i-1], path[i])})
	}
	slices.SortStableFunc(all, func(a, b piece) int { return cmp.Compare(b.long, a.long) })
	return all
}

func (p piece) upright() bool { return p.a.X == p.b.X }

// farAlong is as far as a text is looked for from the middle of a piece: a line
// across a large sheet has no thousand places.
const farAlong = 300

// along gives distances from the middle of the piece outwards, as far as limit.
func along(limit float64) iter.Seq[float64] {
	return func(yield func(float64) bool) {
		if !yield(0) {
			return
		}
		for t := 5.0; t <= min(limit, farAlong); t += 5 {
			if !yield(-t) || !yield(t) {
				return
			}
		}
	}
}

// pieceSpots are the places beside a straight piece for a text of a size: above or
// below a level one; left or right of an upright one, turned to be read from the
// right, or level where it is short. over is how far the text may stand past the
// ends of the piece.
func pieceSpots(p piece, w, h, over float64) iter.Seq[spot] {
	c := Pt{(p.a.X + p.b.X) / 2, (p.a.Y + p.b.Y) / 2}
	limit := min((p.long-w)/2+over, p.long/2)
	return func(yield func(spot) bool) {
		if !p.upright() {
			if limit < 0 {
				return
			}
			for t := range along(limit) {
				if !yield(spot{Box{Pt{c.X + t - w/2, c.Y - lineGap - h}, Pt{c.X + t + w/2, c.Y - lineGap}}, Middle, 0, false}) ||
					!yield(spot{Box{Pt{c.X + t - w/2, c.Y + lineGap}, Pt{c.X + t + w/2, c.Y + lineGap + h}}, Middle, 0, false}) {
					return
				}
			}
			return
		}
		if limit >= 0 {
			for t := range along(limit) {
				if !yield(spot{Box{Pt{c.X - lineGap - h, c.Y + t - w/2}, Pt{c.X - lineGap, c.Y + t + w/2}}, Middle, 90, false}) ||
					!yield(spot{Box{Pt{c.X + lineGap, c.Y + t - w/2}, Pt{c.X + lineGap + h, c.Y + t + w/2}}, Middle, 90, false}) {
					return
				}
			}
		}
		for t := range along(max(0, (p.long-h)/2+over)) {
			if !yield(spot{Box{Pt{c.X + lineGap + 1, c.Y + t - h/2}, Pt{c.X + lineGap + 1 + w, c.Y + t + h/2}}, Start, 0, true}) ||
				!yield(spot{Box{Pt{c.X - lineGap - 1 - w, c.Y + t - h/2}, Pt{c.X - lineGap - 1, c.Y + t + h/2}}, End, 0, true}) {
				return
			}
		}
	}
}

// slash strikes a line that stands for several cores and writes their number.
func (d *drawing) slash(r components.Run) {
	cores := d.cores[r.ID]
	path := d.sheet.Paths[r.ID]
	if cores < 2 || len(path) < 2 {
		return
	}
	st := d.styles[r.ID]
	dim := d.o.Live[r.ID].Dead
	b := block{{figure(float64(cores)), SmallHeight, false, st.Role}}
	w, h := b.size()
	var fallback *Pt
	for _, p := range pieces(path) {
		for _, t := range slashPlaces(p.long) {
			c := Pt{p.a.X + (p.b.X-p.a.X)*t/p.long, p.a.Y + (p.b.Y-p.a.Y)*t/p.long}
			// The stroke itself must stand clear of everything but its own line.
			stroke := []Box{{Pt{c.X - slashHalf, c.Y + lineHalf + 0.5}, Pt{c.X - 1, c.Y + slashHalf}}, {Pt{c.X + 1, c.Y - slashHalf}, Pt{c.X + slashHalf, c.Y - lineHalf - 0.5}}}
			if p.upright() {
				stroke = []Box{{Pt{c.X - slashHalf, c.Y + 1}, Pt{c.X - lineHalf - 0.5, c.Y + slashHalf}}, {Pt{c.X + lineHalf + 0.5, c.Y - slashHalf}, Pt{c.X + slashHalf, c.Y - 1}}}
			}
			if !d.room.free(stroke[0]) || !d.room.free(stroke[1]) {
				continue
			}
			if fallback == nil {
				fallback = &c
			}
			for _, s := range []spot{
				{Box{Pt{c.X + slashHalf + 1, c.Y - lineGap - h + 1}, Pt{c.X + slashHalf + 1 + w, c.Y - lineGap + 1}}, Start, 0, false},
				{Box{Pt{c.X - w/2 + slashHalf, c.Y - slashHalf - 1 - h}, Pt{c.X + w/2 + slashHalf, c.Y - slashHalf - 1}}, Middle, 0, false},
				{Box{Pt{c.X - slashHalf - 1 - w, c.Y + lineGap}, Pt{c.X - slashHalf - 1, c.Y + lineGap + h}}, End, 0, false},
				{Box{Pt{c.X - slashHalf - w/2, c.Y + slashHalf + 1}, Pt{c.X - slashHalf + w/2, c.Y + slashHalf + 1 + h}}, Middle, 0, false},
			} {
				if d.room.free(s.box.grown(0.5)) {
					d.drawSlash(r, st, c, dim)
					d.set(b, s, string(r.ID), dim)
					return
				}
			}
		}
	}
	d.crowded = append(d.crowded, r.ID) // its number goes into the label
	if fallback != nil {
		d.drawSlash(r, st, *fallback, dim)
	}
}

// slashPlaces are distances along a piece: near its beginning, then further on.
func slashPlaces(long float64) []float64 {
	var all []float64
	for _, t := range []float64{10, 15, 20, 25, 30, 35, 40, 50, 60, 80, 100} {
		if t <= long-5 {
			all = append(all, t)
		}
	}
	return append(all, long/2)
}

func (d *drawing) drawSlash(r components.Run, st Style, c Pt, dim bool) {
	pts := []Pt{{c.X - slashHalf, c.Y + slashHalf}, {c.X + slashHalf, c.Y - slashHalf}}
	d.add(Shape{Address: string(r.ID), Layer: RunLayer, Form: Polyline, Pts: pts, Role: st.Role, Weight: components.Thin, Dim: dim})
	d.room.take(Box{pts[0], pts[0]}.with(pts[1]))
}

// labelRun writes a run's tag, size and length beside it, where there is no room
// with a leader. They are small letters on every sheet: letters of 2.5 mm would fit
// beside half of the runs of an ordinary drawing, and a reader takes two sizes for a
// difference between the runs.
func (d *drawing) labelRun(r components.Run) {
	path := d.sheet.Paths[r.ID]
	if len(path) < 2 {
		return
	}
	facts := d.runFacts(r)
	if slices.Contains(d.crowded, r.ID) {
		facts = slices.Insert(facts, 1, figure(float64(d.cores[r.ID]))+"-core")
	}
	dim := d.o.Live[r.ID].Dead
	set := func(lines ...[]string) block {
		var b block
		for _, l := range lines {
			b = append(b, words{joinFacts(l), SmallHeight, false, Ink})
		}
		return b
	}
	one, two, three := set(facts), set(facts[:1], facts[1:]), set(facts[:1], facts[1:2], facts[2:])
	for _, try := range []struct {
		b          block
		over, free float64
	}{{one, -4, apart}, {two, -2, apart}, {one, 24, apart}, {three, -2, apart}, {one, -4, tight}, {two, -2, tight}, {one, 24, tight}, {two, 20, tight}, {three, 4, tight}} {
		if d.besidePath(try.b, path, try.over, try.free, string(r.ID), dim) {
			return
		}
	}
	d.leadToPath([]block{two, three}, path, string(r.ID), dim)
}

// RunLabelWidth is how long a straight piece of a run has to be for its tag to stand
// above its size and length there, in sheet units.
func RunLabelWidth(doc *components.Document, r components.Run) float64 {
	d := drawing{doc: doc, styles: map[components.ID]Style{r.ID: StyleOf(doc, r)}}
	w, _ := block{{joinFacts(d.runFacts(r)[1:]), SmallHeight, false, Ink}}.size()
	return w
}

// labelLive writes the current and the voltage of the chosen state.
func (d *drawing) labelLive(r components.Run) {
	live := d.o.Live[r.ID]
	path := d.sheet.Paths[r.ID]
	if live.Figure == "" || len(path) < 2 {
		return
	}
	b := block{{live.Figure, SmallHeight, true, Live}}
	for _, free := range []float64{apart, tight} {
		if d.besidePath(b, path, -2, free, string(r.ID), false) || d.besidePath(b, path, 20, free, string(r.ID), false) {
			return
		}
	}
	b[0].text = string(r.ID) + ": " + b[0].text // away from its line it needs its tag
	d.leadToPath([]block{b}, path, string(r.ID), false)
}

// apart and tight are how far a text beside a line stays from everything else:
// apart, no one takes it for another line's.
const (
	apart = 7.0
	tight = 4.0
	bare  = 0.9 // the least between a text and anything
)

// apartFrom widens a spot across the direction of reading, in which a text could
// be taken for another line's, more than along it.
func apartFrom(s spot, by float64) Box {
	const along = 1.5
	b := s.box
	if s.across {
		by = max(by, 2.5*apart)
	}
	if s.angle == 90 {
		return Box{Pt{b.Min.X - by, b.Min.Y - along}, Pt{b.Max.X + by, b.Max.Y + along}}
	}
	return Box{Pt{b.Min.X - along, b.Min.Y - by}, Pt{b.Max.X + along, b.Max.Y + by}}
}

func (d *drawing) besidePath(b block, path []Pt, over, free float64, address string, dim bool) bool {
	w, h := b.size()
	for _, p := range pieces(path) {
		for s := range pieceSpots(p, w, h, over) {
			if d.room.free(s.box.grown(bare)) && d.room.freeBut(apartFrom(s, free), p) {
				d.set(b, s, address, dim)
				return true
			}
		}
	}
	return false
}

// lead sets a block at the nearest free place around a symbol and draws a leader
// to it.
func (d *drawing) lead(b block, area Box, address string, dim bool) {
	// Close to another symbol it would be taken for that one's.
	const aloof = 2 * components.Module
	for _, try := range []struct {
		clear float64
		rings int
		lines bool
	}{{aloof, nearRings, false}, {aloof, nearRings, true}, {clearance, farRings, false}, {clearance, farRings, true}} {
		if d.leadFrom(b, []Pt{area.centre()}, []Pt{area.Min, {area.Max.X, area.Min.Y}, area.Max, {area.Min.X, area.Max.Y}}, try.rings, try.clear, try.lines, address, dim) {
			return
		}
	}
	d.leadFar(b, area.centre(), address, dim)
}

const (
	nearRings = 9  // of a leader's length before something else is tried
	farRings  = 30 // before it may cross anything
	ringStep  = 8
)

// leadToPath does so for a line, from around the middle of its pieces: first with
// leaders that cross nothing, then with such as cross other lines.
func (d *drawing) leadToPath(blocks []block, path []Pt, address string, dim bool) {
	var around, ends []Pt
	for _, p := range pieces(path) {
		around = append(around, Pt{(p.a.X + p.b.X) / 2, (p.a.Y + p.b.Y) / 2})
		for t := 6.0; t <= max(6, p.long-6); t += 6 {
			ends = append(ends, Pt{p.a.X + (p.b.X-p.a.X)*t/p.long, p.a.Y + (p.b.Y-p.a.Y)*t/p.long})
		}
	}
	for _, try := range []struct {
		rings int
		lines bool
	}{{nearRings, false}, {nearRings, true}, {farRings, false}, {farRings, true}} {
		for _, b := range blocks {
			if d.leadFrom(b, around, ends, try.rings, clearance, try.lines, address, dim) {
				return
			}
		}
	}
	d.leadFar(blocks[0], around[0], address, dim)
}

// leadFrom looks for a place in widening rings that is clear all round and from which
// a leader reaches one of the ends, and tells whether there was one.
func (d *drawing) leadFrom(b block, around, ends []Pt, rings int, clear float64, lines bool, address string, dim bool) bool {
	w, h := b.size()
	for ring := 1; ring <= rings; ring++ {
		n := 8 + 2*ring
		for _, at := range around {
			for k := range n {
				angle := -math.Pi/4 + 2*math.Pi*float64(k)/float64(n)
				c := Pt{at.X + (float64(ring)*ringStep+w/2)*math.Cos(angle), at.Y + (float64(ring)*ringStep+h/2)*math.Sin(angle)}
				s := spot{boxAt(c, w, h), Start, 0, false}
				if !d.room.free(s.box.grown(clear)) {
					continue
				}
				edge := s.box.grown(1)
				slices.SortStableFunc(ends, func(p, q Pt) int { return cmp.Compare(dist(nearest(edge, p), p), dist(nearest(edge, q), q)) })
				for _, to := range ends[:min(len(ends), 5)] {
					from := nearest(edge, to)
					if dist(from, to) >= 6 && d.room.freeLine(from, to, 3.2, lines) {
						d.leader(from, to, address, dim)
						d.set(b, s, address, dim)
						return true
					}
				}
			}
		}
	}
	return false
}

// leadFar sets a block at the nearest free place, without a leader: its tag says
// what it is about.
func (d *drawing) leadFar(b block, at Pt, address string, dim bool) {
	w, h := b.size()
	for ring := 1; ; ring++ {
		n := 8 + ring
		for k := range n {
			angle := 2 * math.Pi * float64(k) / float64(n)
			c := Pt{at.X + (float64(ring)*ringStep+w/2)*math.Cos(angle), at.Y + (float64(ring)*ringStep+h/2)*math.Sin(angle)}
			if s := (spot{boxAt(c, w, h), Start, 0, false}); d.room.free(s.box.grown(clearance)) {
				d.set(b, s, address, dim)
				return
			}
		}
	}
}

// leader draws a thin line with an arrow head at what it points to.
func (d *drawing) leader(from, to Pt, address string, dim bool) {
	const long, half = 5, 1.3
	dx, dy := (to.X-from.X)/dist(from, to), (to.Y-from.Y)/dist(from, to)
	back := Pt{to.X - long*dx, to.Y - long*dy}
	d.add(Shape{Address: address, Layer: LabelLayer, Form: Polyline, Pts: []Pt{from, back}, Role: Faint, Weight: components.Hairline, Dim: dim},
		Shape{Address: address, Layer: LabelLayer, Form: Filled, Pts: []Pt{to, {back.X - half*dy, back.Y + half*dx}, {back.X + half*dy, back.Y - half*dx}}, Role: Faint, Dim: dim})
	d.room.takeSlope(from, to)
}

// nearest is the place of an area that lies nearest to another place.
func nearest(b Box, p Pt) Pt {
	return Pt{max(b.Min.X, min(b.Max.X, p.X)), max(b.Min.Y, min(b.Max.Y, p.Y))}
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
