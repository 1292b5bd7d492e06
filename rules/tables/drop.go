package tables

import (
	"fmt"
	"sync"

	"rigline/components/units"
)

// Resistivity of copper in Ω·cmil/ft for the circular-mil method: ABYC E-11 takes
// 10.75, and 12.9 is the trade's figure at 75 °C.
const (
	KMarine = 10.75
	KTrade  = 12.9
)

// CircularMils is the area that a drop needs over a loop, out and back:
//
//	CM = K · I · L / E
//
// (ABYC E-11). It is an error where no drop is allowed.
func CircularMils(k float64, i units.Amp, loop units.Foot, drop units.Volt) (cmil float64, err error) {
	if !(drop > 0) || !(k > 0) || !(i >= 0) || !(loop >= 0) {
		return 0, fmt.Errorf("%v over %v at a drop of %v: want a drop above zero", i, loop, drop)
	}
	return k * float64(i) * float64(loop) / float64(drop), nil
}

// DropOver is the same method the other way round: E = K · I · L / CM.
func DropOver(k float64, i units.Amp, loop units.Foot, cmil float64) (units.Volt, error) {
	if !(cmil > 0) || !(k > 0) || !(i >= 0) || !(loop >= 0) {
		return 0, fmt.Errorf("%v over %v in %v cmil: want an area above zero", i, loop, cmil)
	}
	return units.Volt(k * float64(i) * float64(loop) / cmil), nil
}

var saeAreas = sync.OnceValue(func() map[units.Size]float64 {
	t := map[units.Size]float64{}
	for _, r := range read("sae_cable_area") {
		t[r.size("gauge")] = r.num("min_cmil")
	}
	return t
})

// GaugeArea is the least area, in circular mils, of cable that is sold by a gauge
// number and not marked AWG (SAE J1127, J1128): 3 to 11 % below the AWG of the
// same number. ok is false where it is not tabulated.
func GaugeArea(gauge units.Size) (cmil float64, ok bool) {
	cmil, ok = saeAreas()[gauge]
	return cmil, ok
}
