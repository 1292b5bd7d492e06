package scene

import (
	"cmp"
	"iter"
	"slices"

	"rigline/components"
)

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
// ends of the piece, gap how far from its middle.
func pieceSpots(p piece, w, h, over, gap float64) iter.Seq[spot] {
	c := Pt{(p.a.X + p.b.X) / 2, (p.a.Y + p.b.Y) / 2}
	limit := min((p.long-w)/2+over, p.long/2)
	return func(yield func(spot) bool) {
		if !p.upright() {
			if limit < 0 {
				return
			}
			for t := range along(limit) {
				if !yield(spot{Box{Pt{c.X + t - w/2, c.Y - gap - h}, Pt{c.X + t + w/2, c.Y - gap}}, Middle, 0, false}) ||
					!yield(spot{Box{Pt{c.X + t - w/2, c.Y + gap}, Pt{c.X + t + w/2, c.Y + gap + h}}, Middle, 0, false}) {
					return
				}
			}
			return
		}
		if limit >= 0 {
			for t := range along(limit) {
				if !yield(spot{Box{Pt{c.X - gap - h, c.Y + t - w/2}, Pt{c.X - gap, c.Y + t + w/2}}, Middle, 90, false}) ||
					!yield(spot{Box{Pt{c.X + gap, c.Y + t - w/2}, Pt{c.X + gap + h, c.Y + t + w/2}}, Middle, 90, false}) {
					return
				}
			}
		}
		for t := range along(max(0, (p.long-h)/2+over)) {
			if !yield(spot{Box{Pt{c.X + gap + 1, c.Y + t - h/2}, Pt{c.X + gap + 1 + w, c.Y + t + h/2}}, Start, 0, true}) ||
				!yield(spot{Box{Pt{c.X - gap - 1 - w, c.Y + t - h/2}, Pt{c.X - gap - 1, c.Y + t + h/2}}, End, 0, true}) {
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
	half := st.half()
	gap := half + lineGap
	dim := d.o.Live[r.ID].Dead
	b := block{{figure(float64(cores)), SmallHeight, false, st.Role}}
	w, h := b.size()
	var fallback *Pt
	for _, p := range pieces(path) {
		for _, t := range slashPlaces(p.long) {
			c := Pt{p.a.X + (p.b.X-p.a.X)*t/p.long, p.a.Y + (p.b.Y-p.a.Y)*t/p.long}
			// The stroke itself must stand clear of everything but its own line.
			stroke := []Box{{Pt{c.X - slashHalf, c.Y + half + 0.5}, Pt{c.X - 1, c.Y + slashHalf}}, {Pt{c.X + 1, c.Y - slashHalf}, Pt{c.X + slashHalf, c.Y - half - 0.5}}}
			if p.upright() {
				stroke = []Box{{Pt{c.X - slashHalf, c.Y + 1}, Pt{c.X - half - 0.5, c.Y + slashHalf}}, {Pt{c.X + half + 0.5, c.Y - slashHalf}, Pt{c.X + slashHalf, c.Y - 1}}}
			}
			if !d.room.free(stroke[0]) || !d.room.free(stroke[1]) {
				continue
			}
			if fallback == nil {
				fallback = &c
			}
			for _, s := range []spot{
				{Box{Pt{c.X + slashHalf + 1, c.Y - gap - h + 1}, Pt{c.X + slashHalf + 1 + w, c.Y - gap + 1}}, Start, 0, false},
				{Box{Pt{c.X - w/2 + slashHalf, c.Y - slashHalf - 1 - h}, Pt{c.X + w/2 + slashHalf, c.Y - slashHalf - 1}}, Middle, 0, false},
				{Box{Pt{c.X - slashHalf - 1 - w, c.Y + gap}, Pt{c.X - slashHalf - 1, c.Y + gap + h}}, End, 0, false},
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
		if d.besidePath(try.b, r.ID, try.over, try.free, dim) {
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
		if d.besidePath(b, r.ID, -2, free, false) || d.besidePath(b, r.ID, 20, free, false) {
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

func (d *drawing) besidePath(b block, run components.ID, over, free float64, dim bool) bool {
	w, h := b.size()
	gap := d.styles[run].half() + lineGap
	for _, p := range pieces(d.sheet.Paths[run]) {
		for s := range pieceSpots(p, w, h, over, gap) {
			if d.room.free(s.box.grown(bare)) && d.room.freeBut(apartFrom(s, free), p) {
				d.set(b, s, string(run), dim)
				return true
			}
		}
	}
	return false
}
