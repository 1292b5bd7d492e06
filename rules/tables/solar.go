package tables

import (
	"fmt"
	"math"
	"sync"

	"rigline/components/units"
)

// Sunlight can be brighter than the module's test, and a circuit that runs for
// hours is held to 80 %: each 125 % (NEC 690.8(A)(1) and (B)(1)).
const (
	brightSun  = 1.25
	continuous = 1.25
)

// PVMaxCurrent is the largest current of strings in parallel: 1.25·n·Isc (NEC
// 690.8(A)(1)).
func PVMaxCurrent(isc units.Amp, strings int) units.Amp {
	return brightSun * isc * units.Amp(strings)
}

// PVConductorCurrent is what conductors and devices of a PV circuit are chosen
// for: 1.25 times the largest current, 1.5625·n·Isc (NEC 690.8(B)(1)).
func PVConductorCurrent(isc units.Amp, strings int) units.Amp {
	return continuous * PVMaxCurrent(isc, strings)
}

// PVBackfeed is what the other strings drive into a shorted one: (n − 1)·1.25·Isc.
// Above the module's series-fuse rating, or the conductor's ampacity, each string
// needs a fuse (NEC 690.9(A) exception).
func PVBackfeed(isc units.Amp, strings int) units.Amp {
	return PVMaxCurrent(isc, max(strings-1, 0))
}

// ColdVoc is the open-circuit voltage of a module or string in the cold, from its
// voltage at 25 °C and its coefficient in per cent per kelvin:
//
//	V = Voc · (1 + β/100 · (T − 25))
//
// (NEC 690.7(A)). β is negative; one that is not is taken for a slip of the pen.
func ColdVoc(voc units.Volt, betaPctPerK float64, t units.Celsius) (units.Volt, error) {
	if !(betaPctPerK < 0 && betaPctPerK > -1) {
		return 0, fmt.Errorf("coefficient of %v %%/K: want a negative one, as in -0.28", betaPctPerK)
	}
	if !(t >= -273.15) || math.IsInf(float64(t), 0) {
		return 0, fmt.Errorf("cold of %v: want a temperature", t)
	}
	return voc * units.Volt(1+betaPctPerK/100*float64(t-25)), nil
}

type coldBand struct{ from, to, factor float64 }

var coldBands = sync.OnceValue(func() []coldBand {
	var bands []coldBand
	for _, r := range read("nec_690_7_a_cold_voc") {
		bands = append(bands, coldBand{r.num("from_c"), r.num("to_c"), r.num("factor")})
	}
	return bands
})

// ColdVocFactor is the factor of NEC Table 690.7(A) on the open-circuit voltage at
// 25 °C of a crystalline silicon module that gives no coefficient. The table goes by
// whole degrees, and a part of one falls to the colder. Not every band is held; one
// that is missing is an error.
func ColdVocFactor(t units.Celsius) (float64, error) {
	whole := math.Floor(float64(t))
	for _, b := range coldBands() {
		if whole >= b.from && whole <= b.to {
			return b.factor, nil
		}
	}
	return 0, fmt.Errorf("cold of %v: outside NEC Table 690.7(A) as held; the module's own coefficient is wanted", t)
}
