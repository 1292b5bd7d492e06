package tables

import "math"

// FuseClears is FuseOpens carried beyond the last point of a family's curve: how
// long a device takes to open at most, in s. There the element melts before it
// sheds heat, and what melts it, I²·t, is never more than at a smaller current:
//
//	t = t_last · (m_last / m)²
//
// The time of the arc is left out. last is the multiple of the rating at the
// curve's last promised point; a bound that is drawn from a low one is far too long.
// The time is +Inf where nothing is promised.
func FuseClears(family string, ratingA, amps float64) (mostS, last float64) {
	points := timePoints(family, ratingA)
	if !(ratingA > 0) || !(amps >= 0) {
		return math.Inf(1), 0
	}
	var end timePoint
	for _, p := range points {
		if !math.IsNaN(p.longest) {
			end = p
		}
	}
	if m := amps / ratingA; end.multiple > 0 && m > end.multiple {
		k := end.multiple / m
		return end.longest * k * k, end.multiple
	}
	_, mostS, _ = FuseOpens(family, ratingA, amps)
	return mostS, end.multiple
}
