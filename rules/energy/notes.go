package energy

import (
	"fmt"
	"strconv"

	"rigline/components"
)

// Missing is a figure that the day needs and the drawing lacks: what rests on it
// is a bound, not a result.
type Missing struct {
	At    components.ID `json:"at"`
	Field string        `json:"field"`
	Find  string        `json:"find"` // where to look for it
}

func (m Missing) String() string { return fmt.Sprintf("%s of %s: %s", m.Field, m.At, m.Find) }

// notes gather what is missing and what was believed.
type notes struct {
	missing []Missing
	rests   []string
	noted   map[any]bool // either
}

// first tells whether something is noted for the first time.
func (n *notes) first(what any) bool {
	if n.noted[what] {
		return false
	}
	if n.noted == nil {
		n.noted = map[any]bool{}
	}
	n.noted[what] = true
	return true
}

func (n *notes) miss(at components.ID, field, find string) {
	m := Missing{at, field, find}
	if n.first(m) {
		n.missing = append(n.missing, m)
	}
}

func (n *notes) rest(format string, args ...any) {
	s := fmt.Sprintf(format, args...)
	if n.first(s) {
		n.rests = append(n.rests, s)
	}
}

// num prints a figure with four digits that count.
func num(v float64) string {
	if v >= 1000 {
		return strconv.FormatFloat(v, 'f', 0, 64)
	}
	return strconv.FormatFloat(v, 'g', 4, 64)
}
