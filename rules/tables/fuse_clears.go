package tables

import (
	"math"
	"sync"
)

type letThrough struct {
	family        string
	ratingTo, i2t float64
}

var letThroughs = sync.OnceValue(func() []letThrough {
	var t []letThrough
	for _, r := range read("ul_248_let_through") {
		t = append(t, letThrough{r["family"], r.num("rating_to"), r.num("i2t")})
	}
	return t
})

// limitingFrom is the multiple of its rating from which a current-limiting fuse is
// held to its let-through.
const limitingFrom = 10

// LetThrough is the largest I²·t, in A²s, that a current-limiting fuse lets through
// in clearing a short of ten times its rating or more; ok is false for a family or
// rating that is not tabulated.
func LetThrough(family string, ratingA float64) (i2t float64, ok bool) {
	for _, l := range letThroughs() {
		if l.family == family && ratingA <= l.ratingTo {
			return l.i2t, true
		}
	}
	return 0, false
}

// FuseClears is FuseOpens carried beyond the last point of a family's curve: how
// long a device takes to open at most, in s. There the element melts before it
// sheds heat, and what melts it, I²·t, is never more than at a smaller current:
//
//	t = t_last · (m_last / m)²
//
// The time of the arc is left out. A current-limiting fuse is held to its
// let-through from ten times its rating on, where that is less. last is the
// multiple of the rating at the last promised point, or ten: a bound that is drawn
// from a low one is far too long. The time is +Inf where nothing is promised.
func FuseClears(family string, ratingA, amps float64) (mostS, last float64) {
	if !(ratingA > 0) || !(amps >= 0) {
		return math.Inf(1), 0
	}
	var end timePoint
	for _, p := range timePoints(family, ratingA) {
		if !math.IsNaN(p.longest) {
			end = p
		}
	}
	m := amps / ratingA
	last = end.multiple
	if end.multiple > 0 && m > end.multiple {
		k := end.multiple / m
		mostS = end.longest * k * k
	} else {
		_, mostS, _ = FuseOpens(family, ratingA, amps)
	}
	if i2t, ok := LetThrough(family, ratingA); ok && m >= limitingFrom {
		mostS, last = math.Min(mostS, i2t/amps/amps), math.Max(last, limitingFrom)
	}
	return mostS, last
}
