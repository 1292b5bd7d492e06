package tables

import (
	"fmt"
	"math"
	"sync"

	"rigline/components/units"
)

// ratings183 are the insulation ratings that 33 CFR 183.425 Table 5 has columns for.
var ratings183 = [...]units.Celsius{60, 75, 80, 90, 105, 125, 200}

// UnmarkedDCTerminalC is what the terminals of a DC device are good for where
// they are not marked, in °C: NEC 110.14(C) as commonly read, from memory.
const UnmarkedDCTerminalC = 75

// BundleFromV is the nominal voltage from which 33 CFR 183.435(b) asks for the
// bundle factors.
const BundleFromV = 50

type dcKey struct {
	size       units.Size
	insulation units.Celsius
}

var table183 = sync.OnceValue(func() map[dcKey]float64 {
	t := map[dcKey]float64{}
	for _, r := range read("cfr_33_183_425_table_5") {
		for _, c := range ratings183 {
			t[dcKey{r.size("size"), c}] = r.num(fmt.Sprintf("c_%.0f", float64(c)))
		}
	}
	return t
})

var engineFactors = sync.OnceValue(func() map[units.Celsius]float64 {
	t := map[units.Celsius]float64{}
	for _, r := range read("cfr_33_183_425_engine") {
		t[units.Celsius(r.num("insulation_c"))] = r.num("factor")
	}
	return t
})

var dcBundles = sync.OnceValue(func() []countBand { return countBands("cfr_33_183_425_bundle") })

func column183(t units.Celsius) (units.Celsius, error) {
	for i := len(ratings183) - 1; i >= 0; i-- {
		if t >= ratings183[i] {
			return ratings183[i], nil
		}
	}
	return 0, fmt.Errorf("rating of %v: outside 33 CFR 183.425 Table 5, whose columns begin at 60 °C", t)
}

// FreeAirAmpacity is the figure of 33 CFR 183.425 Table 5 for a single stranded
// copper conductor in free air of 30 °C and the column of a temperature rating:
// the highest of 60, 75, 80, 90, 105, 125 and 200 °C not above it.
func FreeAirAmpacity(s units.Size, rating units.Celsius) (units.Amp, error) {
	col, err := column183(rating)
	if err != nil {
		return 0, err
	}
	v, ok := table183()[dcKey{s, col}]
	switch {
	case ok:
		return units.Amp(v), nil
	case s.Metric():
		return 0, fmt.Errorf("%s: outside 33 CFR 183.425 Table 5, which lists AWG only", s)
	}
	return 0, fmt.Errorf("%s: outside 33 CFR 183.425 Table 5, 18 AWG to 4/0 AWG", nameOf(s))
}

// EngineFactor is the factor of 33 CFR 183.425 Table 5 note 1 for a conductor in
// an engine space, 50 °C. The note prints 1.00 for 200 °C; the thermal formula
// that all the others follow gives 0.94, and so does this.
func EngineFactor(insulation units.Celsius) (float64, error) {
	col, err := column183(insulation)
	if err != nil {
		return 0, err
	}
	f := engineFactors()[col]
	if f == 1 {
		thermal, err := ThermalFactor(col, 50)
		return math.Round(100*thermal) / 100, err
	}
	return f, nil
}

// FreeAirBundleFactor is the factor of 33 CFR 183.425 Table 5 note 2 for loaded
// DC conductors together, the conductor itself among them.
func FreeAirBundleFactor(n int) (float64, error) {
	if n < 0 {
		return 0, fmt.Errorf("%d conductors together: want the count of loaded ones", n)
	}
	return factorFor(dcBundles(), n)
}

// DCQuery asks for the ampacity of a single DC conductor in free air.
// Temperatures are in °C.
type DCQuery struct {
	Size        units.Size
	InsulationC float64
	TerminalC   float64 // 0: not told, and then the terminals are taken to be as good as the insulation
	AmbientC    float64
	Engine      bool    // through an engine space, 50 °C or AmbientC where that is hotter
	Bundled     int     // loaded conductors together, itself among them; up to two are alike
	NominalV    float64 // of the circuit; needed where three or more are bundled
}

// DCAmpacity is the ampacity by 33 CFR 183.425 Table 5 for copper:
//
//	column of the insulation × factor for an engine space or for hot air
//	× factor for the bundle, not above the column of the terminals
//
// The factor for air above 30 °C is √((Tc − Ta)/(Tc − 30)); cooler air raises
// nothing. The bundle factor is asked for from 50 V nominal (183.435(b)); below,
// it is left out and given as WaivedFactor. It is an error where the table does
// not reach, where the air leaves nothing, and where the voltage that the bundle
// factor hangs on is not told.
func DCAmpacity(q DCQuery) (Ampacity, error) {
	insulation, err := column183(units.Celsius(q.InsulationC))
	if err != nil {
		return Ampacity{}, err
	}
	v, err := FreeAirAmpacity(q.Size, insulation)
	if err != nil {
		return Ampacity{}, err
	}
	a := Ampacity{Table: float64(v), Corrected: float64(v), WaivedFactor: 1}
	a.note("33 CFR 183.425 Table 5, %v: %s = %v", insulation, q.Size, v)
	if err := a.heat(q, insulation); err != nil {
		return Ampacity{}, err
	}
	if err := a.bundle(q); err != nil {
		return Ampacity{}, err
	}
	a.Usable = a.Corrected
	if q.TerminalC == 0 {
		a.RestsOn = append(a.RestsOn, fmt.Sprintf("terminals taken as good for the %v of the insulation", insulation))
		return a, nil
	}
	limit, err := FreeAirAmpacity(q.Size, units.Celsius(q.TerminalC))
	if err != nil {
		return Ampacity{}, fmt.Errorf("terminals: %w", err)
	}
	a.within(float64(limit), "terminals of %v", units.Celsius(q.TerminalC))
	return a, nil
}

func (a *Ampacity) heat(q DCQuery, insulation units.Celsius) error {
	air := units.Celsius(q.AmbientC)
	hot := 1.0
	if !(air <= 30) {
		f, err := ThermalFactor(insulation, air)
		if err != nil {
			return err
		}
		hot = f
	}
	if !q.Engine {
		a.times(hot, "at %v, √((%.4g − %.4g)/(%.4g − 30))", air, float64(insulation), float64(air), float64(insulation))
		return nil
	}
	engine, err := EngineFactor(insulation)
	if err != nil {
		return err
	}
	if hot < engine {
		a.times(hot, "in an engine space of %v", air)
		return nil
	}
	a.times(engine, "in an engine space")
	return nil
}

func (a *Ampacity) bundle(q DCQuery) error {
	f, err := FreeAirBundleFactor(q.Bundled)
	if err != nil || f == 1 {
		return err
	}
	switch {
	case !(q.NominalV > 0):
		return fmt.Errorf("%d conductors together: the factor hangs on the nominal voltage, which is not known (33 CFR 183.435(b))", q.Bundled)
	case q.NominalV >= BundleFromV:
		a.times(f, "for %d together at %v nominal", q.Bundled, units.Volt(q.NominalV))
	default:
		a.WaivedFactor = f
		a.note("%d together: no factor below 50 V nominal (33 CFR 183.435(b)); × %.2f would leave %v", q.Bundled, f, units.Amp(a.Corrected*f))
	}
	return nil
}
