package scene

import (
	"iter"
	"math"
	"slices"
)

// room knows what is taken on a sheet, so that text finds a free place.
type room struct {
	cells map[cell][]taken
}

// cell is a square of the sheet, its row and its column in one number, which is
// quick to look up.
type cell int64

// taken is an area that is not free. A leader may cross a line in need, but never
// a symbol or a text.
type taken struct {
	Box
	line bool
}

const cellSize = 60

func newRoom() *room { return &room{cells: map[cell][]taken{}} }

// span is the columns and rows of the cells that an area touches.
type span struct{ x0, y0, x1, y1 int }

func spanOf(b Box) span {
	return span{int(floor(b.Min.X / cellSize)), int(floor(b.Min.Y / cellSize)), int(floor(b.Max.X / cellSize)), int(floor(b.Max.Y / cellSize))}
}

func cellAt(x, y int) cell { return cell(y)<<32 | cell(uint32(int32(x))) }

// clone is a copy that takes no room from this one.
func (r *room) clone() *room {
	c := &room{cells: make(map[cell][]taken, len(r.cells))}
	for k, all := range r.cells {
		c.cells[k] = slices.Clip(all)
	}
	return c
}

func (r *room) take(b Box) { r.put(taken{b, false}) }

func (r *room) put(t taken) {
	s := spanOf(t.Box)
	for y := s.y0; y <= s.y1; y++ {
		for x := s.x0; x <= s.x1; x++ {
			c := cellAt(x, y)
			all := r.cells[c]
			if all == nil {
				all = make([]taken, 0, 4)
			}
			r.cells[c] = append(all, t)
		}
	}
}

// takeLine takes the pieces of a line.
func (r *room) takeLine(path []Pt, half float64) {
	for i := 1; i < len(path); i++ {
		r.put(taken{Box{path[i-1], path[i-1]}.with(path[i]).grown(half), true})
	}
}

// in is what is taken of an area.
func (r *room) in(b Box) iter.Seq[*taken] {
	return func(yield func(*taken) bool) {
		s := spanOf(b)
		for y := s.y0; y <= s.y1; y++ {
			for x := s.x0; x <= s.x1; x++ {
				all := r.cells[cellAt(x, y)]
				for i := range all {
					if o := &all[i]; b.meets(o.Box) && !yield(o) {
						return
					}
				}
			}
		}
	}
}

func (r *room) free(b Box) bool {
	for range r.in(b) {
		return false
	}
	return true
}

// freeBut is free, but for what lies on the straight piece that the text is beside.
func (r *room) freeBut(b Box, p piece) bool {
	own := Box{p.a, p.a}.with(p.b).grown(lineHalf + hopRadius + 1.5)
	for o := range r.in(b) {
		if !(o.Min.X >= own.Min.X && o.Max.X <= own.Max.X && o.Min.Y >= own.Min.Y && o.Max.Y <= own.Max.Y) {
			return false
		}
	}
	return true
}

// freeLine tells whether a straight leader crosses nothing on its way, or, where it may
// cross lines, nothing but those, and whether it does. The last bit, where it reaches what
// it is about, is not looked at. It begins there, where most is in the way.
func (r *room) freeLine(a, b Pt, mayCross bool) (crosses, free bool) {
	const step, tip = 2, 3.2
	long := dist(a, b)
	for k := math.Floor((long - tip) / step); k >= 0; k-- {
		t := k * step
		p := Pt{a.X + (b.X-a.X)*t/long, a.Y + (b.Y-a.Y)*t/long}
		for o := range r.in(Box{p, p}.grown(1.6)) {
			if !o.line || !mayCross {
				return crosses, false
			}
			crosses = true
		}
	}
	return crosses, true
}

// takeSlope takes the room of a slanting line in small steps.
func (r *room) takeSlope(a, b Pt) {
	long := dist(a, b)
	for t := 0.0; t <= long; t += 4 {
		p := Pt{a.X + (b.X-a.X)*t/long, a.Y + (b.Y-a.Y)*t/long}
		r.take(Box{p, p}.grown(2))
	}
}
