package nodal

import (
	"math"
	"math/cmplx"
)

const (
	mostNewton = 60
	mostRelax  = 400
)

// newton is Newton's method on the currents that fail to sum to zero at each
// unknown, with the loads at a part of their power.
type newton struct {
	*solving
	part    float64 // of their power that the loads draw
	pattern *pattern
	miss    []complex128 // by unknown: what leaves and should not
	trial   []complex128
	step    []complex128
	noise   float64 // what rounding leaves of miss
}

// newton solves the loads where the fixed point did not: from where it stopped,
// then from the loads as the impedances that they have at 70 %, then by raising
// the loads from nothing, and from the most of them that has a solution by letting
// the voltages drift. Where there are several solutions it is the first found
// in this order.
func (s *solving) newton() error {
	n := len(s.x)
	w := &newton{solving: s, part: 1, miss: make([]complex128, n), trial: make([]complex128, n), step: make([]complex128, n)}
	w.pattern = analyse(n, s.ties(func(e *element) bool { return e.form == power && !e.opened }))
	if w.run() {
		return nil
	}
	clear(s.x)
	if w.run() {
		return nil
	}
	best := w.raise()
	if best >= 1 {
		return nil
	}
	w.part = 1
	kept := append([]complex128(nil), s.x...)
	if w.relax() && w.run() {
		return nil
	}
	s.x = kept
	return s.collapse(best)
}

// raise follows the solution from no load upwards and gives the part of the loads
// that it reached.
func (w *newton) raise() float64 {
	w.linear()
	done, step := 0.0, 0.25
	kept := append([]complex128(nil), w.x...)
	for done < 1 && step > 1e-3 {
		w.part = math.Min(1, done+step)
		if w.run() {
			done = w.part
			copy(kept, w.x)
			step *= 1.5
			continue
		}
		copy(w.x, kept)
		step /= 2
	}
	return done
}

// relax lets the voltages drift as they would if each load took its time to
// follow its supply: implicit steps in time, longer ones as the currents come to
// rest. Unlike run it may pass through worse on its way to better. It is true
// where it has come near to rest.
func (w *newton) relax() bool {
	norm := w.missing()
	damp := 4.0
	for range mostRelax {
		w.rounds++
		if !w.direction(damp) {
			damp *= 4
			continue
		}
		for k, d := range w.step {
			w.x[k] += d
		}
		now := w.missing()
		if math.IsNaN(now) {
			return false
		}
		if norm > 0 {
			damp *= math.Min(1.5, math.Max(0.5, now/norm))
		}
		if norm = now; damp < 1e-3 || norm <= w.noise {
			return true
		}
		damp = math.Min(damp, 1e4)
	}
	return false
}

// run iterates from s.x until a step moves nothing.
func (w *newton) run() bool {
	norm := w.missing()
	damp := 0.0
	for range mostNewton {
		w.rounds++
		if !w.direction(damp) {
			damp = math.Max(4*damp, 1e-3)
			continue
		}
		for k, d := range w.step {
			w.trial[k] = w.x[k] + d
		}
		whole := w.moved(w.trial)
		if math.IsNaN(whole) {
			return false
		}
		copy(w.trial, w.x)
		part := 1.0
		taken := false
		for range 8 {
			for k := range w.x {
				w.x[k] = w.trial[k] + complex(part, 0)*w.step[k]
			}
			now := w.missing()
			if now <= norm*(1-0.1*part)+w.noise || whole <= 1e-7 {
				norm, taken = now, true
				break
			}
			part /= 2
		}
		if !taken {
			copy(w.x, w.trial)
			norm = w.missing()
			damp = math.Max(4*damp, 1e-3)
			if damp > 1e6 {
				return false
			}
			continue
		}
		if part == 1 && damp == 0 && whole <= loadTolerance {
			w.note()
			return true
		}
		if damp /= 8; damp < 1e-4 {
			damp = 0
		}
	}
	return false
}

// missing finds the currents that do not sum to zero and gives their size.
func (w *newton) missing() float64 {
	clear(w.miss)
	square := 0.0
	for k := range w.net.elements {
		e := &w.net.elements[k]
		switch {
		case e.passive():
			a, b, z := w.node(e.a), w.node(e.b), e.z
			w.drive(w.miss, e, (a-b-e.emf())/z)
			noise := rounding * (size(a) + size(b) + size(e.emf())) / size(z)
			square += noise * noise
		case e.form == injection && w.top.live(e):
			w.drive(w.miss, e, e.x)
		}
	}
	for _, l := range w.loads {
		e := &w.net.elements[l.branch]
		w.drive(w.miss, e, complex(w.part, 0)*e.draw(w.across(e)))
	}
	sum := 0.0
	for _, i := range w.miss {
		sum += real(i)*real(i) + imag(i)*imag(i)
	}
	w.noise = math.Sqrt(square)
	return math.Sqrt(sum)
}

// direction solves for the step. damp adds so many times each load's own
// admittance beside it, which shortens the step where the loads are.
func (w *newton) direction(damp float64) bool {
	j := newBlocks(w.pattern)
	for k := range w.net.elements {
		if e := &w.net.elements[k]; e.passive() {
			a, b := w.ends(e)
			j.add(a, b, turn(1/e.z))
		}
	}
	for _, l := range w.loads {
		e := &w.net.elements[l.branch]
		v := w.across(e)
		y := e.slope(v)
		for k := range y {
			y[k] *= w.part
		}
		if damp > 0 {
			base := math.Max(abs(v), floor*e.rated)
			g := damp * abs(e.x) / math.Max(base*base, 1e-12)
			y[0] += g
			y[3] += g
		}
		j.add(l.a, l.b, y)
	}
	if !j.eliminate() {
		return false
	}
	for k, i := range w.miss {
		w.step[k] = -i
	}
	j.solve(w.step)
	return true
}

// note keeps the loads' currents.
func (w *newton) note() {
	for k := range w.loads {
		l := &w.loads[k]
		e := &w.net.elements[l.branch]
		l.i = e.draw(w.across(e))
	}
}

// collapse tells which load has come down the farthest.
func (s *solving) collapse(carried float64) error {
	worst := &NoSolution{Worst: -1, Volts: math.Inf(1), Carried: carried, Reason: "more power is asked for than the network can carry"}
	least := math.Inf(1)
	for _, l := range s.loads {
		e := &s.net.elements[l.branch]
		v := cmplx.Abs(s.across(e))
		if q := v / math.Max(e.rated, 1e-9); q < least {
			least, worst.Worst, worst.Volts = q, l.branch, v
		}
	}
	return worst
}
