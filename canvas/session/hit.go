package session

import (
	"cmp"
	"math"
	"strconv"

	"rigline/components"
	"rigline/export/scene"
)

// Pointer is where the pointer is on the sheet, how far around it things are met,
// and what is held with it.
type Pointer struct {
	At    scene.Pt
	Reach float64
	Shift bool
	Twice bool // the second press of two
}

// Hit is what a pointer meets: a port, a part or a run. The zero Hit is empty paper.
type Hit struct {
	Port components.PortRef // of a port
	At   scene.Pt           // the port's landing
	Part components.ID      // of a port or a part
	Run  components.ID
	Note components.ID
	Mark int // the number of a finding's mark
}

// Empty tells whether the pointer meets nothing.
func (h Hit) Empty() bool { return h.Part == "" && h.Run == "" && h.Note == "" && h.Mark == 0 }

// ID is the part, run or mark-up.
func (h Hit) ID() components.ID { return cmp.Or(h.Part, h.Run, h.Note) }

// Hit tells what a pointer meets: a finding's mark, else the nearest port, else the smallest part, else
// the nearest run. Ports never reach so far that a small symbol has no body left
// to be taken by.
func (s *Session) Hit(p Pointer) Hit {
	sheet := s.Sheet()
	if n := s.markAt(p.At); n > 0 {
		return Hit{Mark: n}
	}
	reach := min(p.Reach*1.2, 8)
	if !onBody(sheet, p.At) { // nothing else is met there
		reach = min(p.Reach*1.2, 14)
	}
	if port, ok := nearestPort(sheet, p.At, reach, s.IsSelected); ok {
		return Hit{Port: port.Ref, At: port.At, Part: port.Ref.Part}
	}
	best, hit := math.Inf(1), Hit{}
	for id, b := range sheet.Bodies {
		if p.At.X < b.Min.X-p.Reach/2 || p.At.X > b.Max.X+p.Reach/2 || p.At.Y < b.Min.Y-p.Reach/2 || p.At.Y > b.Max.Y+p.Reach/2 {
			continue
		}
		area := (b.Max.X - b.Min.X) * (b.Max.Y - b.Min.Y)
		if area < best || area == best && components.CompareIDs(id, hit.Part) < 0 {
			best, hit.Part = area, id
		}
	}
	if hit.Part != "" {
		return hit
	}
	if hit.Run, _ = s.runNear(p.At, p.Reach); hit.Run == "" {
		hit.Note, _ = s.noteAt(p)
	}
	return hit
}

// onBody tells whether a place lies on any symbol.
func onBody(sheet *scene.Sheet, at scene.Pt) bool {
	for _, b := range sheet.Bodies {
		if b.Holds(at) {
			return true
		}
	}
	return false
}

// nearestPort finds the nearest landing within reach. A landing that lies on its
// symbol, as a bus bar's stud does, reaches half as far on a part that is selected,
// so that it can be taken by its body and moved.
func nearestPort(sheet *scene.Sheet, at scene.Pt, reach float64, selected func(components.ID) bool) (scene.PortAt, bool) {
	best, found := math.Inf(1), scene.PortAt{}
	for _, port := range sheet.Ports {
		d := math.Hypot(port.At.X-at.X, port.At.Y-at.Y)
		r := reach
		if b := sheet.Bodies[port.Ref.Part]; port.At.X > b.Min.X && port.At.X < b.Max.X && port.At.Y > b.Min.Y && port.At.Y < b.Max.Y {
			if r *= 0.9; selected(port.Ref.Part) {
				r = reach / 2
			}
		}
		if d <= r && d < best {
			best, found = d, port
		}
	}
	return found, !math.IsInf(best, 1)
}

// runNear finds the run nearest to a place within reach.
func (s *Session) runNear(at scene.Pt, reach float64) (components.ID, bool) {
	best, found := math.Inf(1), components.ID("")
	for id, path := range s.Sheet().Paths {
		_, d := nearestOn(path, at)
		if d <= reach && (d < best || d == best && components.CompareIDs(id, found) < 0) {
			best, found = d, id
		}
	}
	return found, found != ""
}

// foot is a place on a line of several pieces: the piece it is on and the place.
type foot struct {
	piece int // from path[piece] to path[piece+1]
	at    scene.Pt
}

// nearestOn is the place on a path nearest to a point, and how far off it is.
func nearestOn(path []scene.Pt, at scene.Pt) (foot, float64) {
	best, f := math.Inf(1), foot{}
	for i := 1; i < len(path); i++ {
		a, b := path[i-1], path[i]
		dx, dy := b.X-a.X, b.Y-a.Y
		t := 0.0
		if long := dx*dx + dy*dy; long > 0 {
			t = max(0, min(1, ((at.X-a.X)*dx+(at.Y-a.Y)*dy)/long))
		}
		q := scene.Pt{X: a.X + t*dx, Y: a.Y + t*dy}
		if d := math.Hypot(q.X-at.X, q.Y-at.Y); d < best {
			best, f = d, foot{i - 1, q}
		}
	}
	return f, best
}

// onGrid is the nearest crossing of the grid.
func onGrid(p scene.Pt) components.Point {
	r := func(v float64) int { return int(math.Round(v/components.Module)) * components.Module }
	return components.Point{X: r(p.X), Y: r(p.Y)}
}

func pt(p components.Point) scene.Pt { return scene.Pt{X: float64(p.X), Y: float64(p.Y)} }

// markAt is the number of the mark at a place, 0 for none. Marks of an older
// report are not met: their numbers mean nothing any more.
func (s *Session) markAt(at scene.Pt) int {
	if !s.Drawing().Marks {
		return 0
	}
	const radius = 9
	shapes := s.Sheet().Shapes
	for i := len(shapes) - 1; i >= 0 && shapes[i].Layer >= scene.MarkLayer; i-- {
		sh := shapes[i]
		if sh.Form != scene.Text {
			continue
		}
		b := sh.Box()
		if math.Hypot((b.Min.X+b.Max.X)/2-at.X, (b.Min.Y+b.Max.Y)/2-at.Y) > radius {
			continue
		}
		if n, err := strconv.Atoi(sh.Text); err == nil {
			return n
		}
	}
	return 0
}

// Centre is the place that a part is drawn about.
func Centre(p components.Part) scene.Pt { return pt(p.At) }

// NearestPart is the part whose centre lies nearest to a place.
func (s *Session) NearestPart(at scene.Pt) (id components.ID, ok bool) {
	best := math.Inf(1)
	for _, p := range s.Doc().Parts() {
		if d := dist(pt(p.At), at); d < best {
			best, id, ok = d, p.ID, true
		}
	}
	return id, ok
}
