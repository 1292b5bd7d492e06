package tables

import (
	"math"

	"rigline/components/units"
)

// The same look-ups in plain numbers, in the unit that each names, for the solver,
// which works in bare complex numbers, and for rules that compare figures of a
// document.

// BundleFactor is CarryingFactor; a count that makes no sense gives NaN.
func BundleFactor(carrying int) float64 {
	f, err := CarryingFactor(carrying)
	if err != nil {
		return math.NaN()
	}
	return f
}

// StandardAtLeast is NextStandard, in A.
func StandardAtLeast(amps float64, fuse bool) (float64, bool) {
	r, ok := NextStandard(units.Amp(amps), device(fuse))
	return float64(r), ok
}

// StandardAtMost is LargestAtMost, in A.
func StandardAtMost(amps float64, fuse bool) (float64, bool) {
	r, ok := LargestAtMost(units.Amp(amps), device(fuse))
	return float64(r), ok
}

func device(fuse bool) Device {
	if fuse {
		return Fuse
	}
	return Breaker
}

// Resistance is RunResistance, in Ω.
func Resistance(s units.Size, feet, tempC float64, solid bool) (float64, error) {
	r, err := RunResistance(s, units.Foot(feet), tempC, solid)
	return float64(r), err
}

// Reactance is RunReactance, in Ω, for the solver, which needs a figure for every
// core: a size that NEC Chapter 9 Table 9 does not list, metric ones among them,
// takes that of the listed size nearest in area. Over the whole table the figure
// changes by a third, and at these sizes resistance outweighs it.
func Reactance(s units.Size, feet float64) float64 {
	if x, err := RunReactance(s, units.Foot(feet)); err == nil {
		return float64(x)
	}
	apart, best := math.Inf(1), 0.0
	for _, o := range units.AWGSizes() {
		if x, err := RunReactance(o, units.Foot(feet)); err == nil {
			if d := math.Abs(math.Log(o.Cmil() / s.Cmil())); d < apart {
				apart, best = d, float64(x)
			}
		}
	}
	return best
}

// Withstand is WithstandSeconds, NaN where that is not known.
func Withstand(s units.Size, amps, t1, t2 float64) float64 {
	t, err := WithstandSeconds(s, units.Amp(amps), t1, t2)
	if err != nil {
		return math.NaN()
	}
	return float64(t)
}

// OpenCircuit is RestVoltage, in V, NaN outside 0 to 1.
func (c Chemistry) OpenCircuit(soc float64) float64 {
	v, err := c.RestVoltage(soc)
	if err != nil {
		return math.NaN()
	}
	return float64(v)
}

// Opens is FuseOpens over all ratings of the family, in s: the shortest and the
// longest time of any. An end that is not promised for every rating is NaN.
func (f Family) Opens(multiple float64) (least, most float64) {
	least, most = math.Inf(1), 0
	for _, r := range f.Ratings {
		lo, hi, _ := FuseOpens(f.ID, r, multiple*r)
		least, most = math.Min(least, lo), math.Max(most, hi)
	}
	if least == 0 || len(f.Ratings) == 0 {
		least = math.NaN()
	}
	if math.IsInf(most, 1) || len(f.Ratings) == 0 {
		most = math.NaN()
	}
	return least, most
}
