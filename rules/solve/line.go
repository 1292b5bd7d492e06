package solve

import "math"

// line is an answer to a question asked before, kept so that the next guess may
// follow the line through two answers instead of the last alone.
type line struct {
	asked, answer float64
	slope         float64
	any           bool
}

// through takes in a further answer and gives the slope from the one before, 0
// where there is none yet. Questions that lie too near tell nothing new.
func (l *line) through(asked, answer float64) float64 {
	if d := asked - l.asked; l.any && math.Abs(d) > 1e-6*math.Max(1, math.Abs(asked)) {
		l.slope = (answer - l.answer) / d
	}
	l.asked, l.answer, l.any = asked, answer, true
	return l.slope
}
