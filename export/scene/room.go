package scene

// room knows what is taken on a sheet, so that text finds a free place.
type room struct {
	cells map[[2]int][]Box
	texts []Box // also among the cells; leaders must not cross them
}

const cellSize = 60

func newRoom() *room { return &room{cells: map[[2]int][]Box{}} }

func cellsOf(b Box, visit func([2]int) bool) {
	for y := int(floor(b.Min.Y / cellSize)); y <= int(floor(b.Max.Y/cellSize)); y++ {
		for x := int(floor(b.Min.X / cellSize)); x <= int(floor(b.Max.X/cellSize)); x++ {
			if !visit([2]int{x, y}) {
				return
			}
		}
	}
}

func (r *room) take(b Box) {
	cellsOf(b, func(c [2]int) bool { r.cells[c] = append(r.cells[c], b); return true })
}

// takeLine takes the pieces of a line.
func (r *room) takeLine(path []Pt, half float64) {
	for i := 1; i < len(path); i++ {
		r.take(Box{path[i-1], path[i-1]}.with(path[i]).grown(half))
	}
}

func (r *room) free(b Box) bool {
	ok := true
	cellsOf(b, func(c [2]int) bool {
		for _, o := range r.cells[c] {
			if b.meets(o) {
				ok = false
				return false
			}
		}
		return true
	})
	return ok
}

// freeLine tells whether a straight leader stays clear of every text.
func (r *room) freeLine(a, b Pt) bool {
	for _, t := range r.texts {
		if crosses(a, b, t) {
			return false
		}
	}
	return true
}

// crosses tells whether a straight line meets an area (Liang and Barsky's clipping).
func crosses(a, b Pt, box Box) bool {
	t0, t1 := 0.0, 1.0
	clip := func(p, q float64) bool {
		if p == 0 {
			return q >= 0
		}
		t := q / p
		if p < 0 {
			t0 = max(t0, t)
		} else {
			t1 = min(t1, t)
		}
		return t0 <= t1
	}
	dx, dy := b.X-a.X, b.Y-a.Y
	return clip(-dx, a.X-box.Min.X) && clip(dx, box.Max.X-a.X) && clip(-dy, a.Y-box.Min.Y) && clip(dy, box.Max.Y-a.Y)
}
