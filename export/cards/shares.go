package cards

import (
	"math"

	"rigline/components"
)

// drawing is what one set of loads draws from a hot, and how much of it each
// inverter/charger passes, in amperes.
type drawing struct {
	total  float64
	passes map[components.ID]float64
}

// shared are the drawings by the hot that they draw from.
type shared map[string][]drawing

// note puts down what an inverter/charger passes in a set.
func (s shared) note(hot string, set int, total float64, id components.ID, amps float64) {
	for len(s[hot]) <= set {
		s[hot] = append(s[hot], drawing{passes: map[components.ID]float64{}})
	}
	d := &s[hot][set]
	d.total, d.passes[id] = max(d.total, total), amps
}

// passed is the most that an inverter/charger passes on in any set, in amperes.
func (s shared) passed(id components.ID) float64 {
	most := 0.0
	for _, sets := range s {
		for _, d := range sets {
			most = max(most, d.passes[id])
		}
	}
	return most
}

// divide lowers the input limits of inverter/chargers that charge from one hot, all in
// the same proportion, until they may charge at once in every set without drawing more
// than the hot gives. most is what each of them draws at the most for charging.
func (s shared) divide(hot string, gives float64, limits, most map[components.ID]float64) {
	if len(limits) < 2 {
		return
	}
	fits := func(part float64) bool {
		for _, d := range s[hot] {
			sum := d.total
			for id, limit := range limits {
				sum += min(max(0, part*limit-d.passes[id]), most[id])
			}
			if sum > gives+rounding && sum > d.total+rounding { // a set that is too much by itself is not charging's fault
				return false
			}
		}
		return true
	}
	if fits(1) {
		return
	}
	low, high := 0.0, 1.0
	for high-low > 1e-4 {
		if mid := (low + high) / 2; fits(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	for id, limit := range limits {
		limits[id] = math.Floor(low*limit + rounding)
	}
}

// charges is the most that an inverter/charger draws for charging, in amperes at a
// voltage: what is not told does not limit it.
func charges(p components.Part, mains float64) float64 {
	amps, dc, eff := p.Figure("charge_a"), p.Figure("dc_v"), p.Figure("efficiency")
	switch {
	case amps.Known() && amps.Value == 0:
		return 0
	case !amps.Known() || !dc.Known() || !eff.Known() || eff.Value <= 0:
		return math.Inf(1)
	}
	return amps.Value * dc.Value * 14.6 / 12.8 / eff.Value / mains // at the highest charging voltage
}
