package checklist

import "math"

// metered is the expectation with limits that a hand meter shows: a band widens to the
// next digit that it shows, a limit on one side is drawn the tighter way. A clamp shows
// tenths of an ampere, a meter hundredths of a volt on its low ranges; past that its
// own error of half a percent and two digits leaves less than is shown.
func (e Expect) metered() Expect {
	if e.Kind != Band {
		return e
	}
	per := e.perUnit()
	down := func(v float64) float64 { return math.Floor(v*per+1e-6) / per }
	up := func(v float64) float64 { return math.Ceil(v*per-1e-6) / per }
	switch {
	case infinite(e.Lo) && infinite(e.Hi):
	case infinite(e.Lo):
		e.Hi, e.WarnHi = down(e.Hi), down(e.WarnHi)
	case infinite(e.Hi):
		e.Lo, e.WarnLo = up(e.Lo), up(e.WarnLo)
	default:
		e.Lo, e.Hi, e.WarnLo, e.WarnHi = down(e.Lo), up(e.Hi), down(e.WarnLo), up(e.WarnHi)
	}
	return e
}

// perUnit is how many digits' worth of the meter's last digit make one of the unit.
func (e Expect) perUnit() float64 {
	most := 0.0
	for _, v := range [2]float64{e.Lo, e.Hi} {
		if !infinite(v) {
			most = math.Max(most, math.Abs(v))
		}
	}
	switch {
	case e.Unit == "V" && most < 6, e.Unit == "A" && e.HasFigure && e.Figure < 0.7 && e.Lo > 0 && e.Lo < 0.5:
		return 100
	case e.Unit == "V" && most < 60, e.Unit == "Hz", e.Unit == "A" && most < 100, e.Unit == "N·m" && most < 20:
		return 10
	}
	return 1
}
