package tables

import (
	"fmt"
	"math"
	"sync"

	"rigline/components/units"
)

type dcKey struct {
	size       units.Size
	insulation float64
}

var dcTable = sync.OnceValue(func() map[dcKey]float64 {
	t := map[dcKey]float64{}
	for _, r := range read("ampacity_dc") {
		if r["location"] == "outside" {
			t[dcKey{size(r["awg"], "AWG"), r.num("insulation_C")}] = r.num("table5_A")
		}
	}
	return t
})

// DCQuery asks for the ampacity of a single DC conductor in free air.
type DCQuery struct {
	Size        units.Size
	InsulationC float64 // 60, 75, 80, 90, 105, 125 or 200
	TerminalC   float64 // 0: not told, taken as the insulation's
	AmbientC    float64
	Engine      bool // through an engine space, 50 °C
	Bundled     int  // loaded conductors together
	NominalV    float64
}

// DCAmpacity is the ampacity by 33 CFR 183.425 Table 5, in amperes, with its
// engine-space factor, the thermal correction for other air, and the bundle
// factor where the circuit is 50 V nominal or more (183.435(b)).
func DCAmpacity(q DCQuery) (Ampacity, error) {
	insulation := 0.0
	for _, c := range []float64{60, 75, 80, 90, 105, 125, 200} {
		if c <= q.InsulationC {
			insulation = c
		}
	}
	v, ok := dcTable()[dcKey{q.Size, insulation}]
	if !ok {
		return Ampacity{}, fmt.Errorf("%s of %v °C insulation: outside 33 CFR 183.425 Table 5 (18 AWG to 4/0 AWG)", q.Size, q.InsulationC)
	}
	a := Ampacity{Table: v, Corrected: v}
	a.note("33 CFR 183.425 Table 5, %.4g °C: %s = %.4g A", insulation, q.Size, v)
	switch {
	case q.Engine:
		f, err := dcFactor("engine_space", fmt.Sprintf("%.0fC", insulation))
		if err != nil {
			return Ampacity{}, err
		}
		if insulation == 200 {
			f = 0.94 // the thermal formula; the regulation prints 1.00
		}
		a.Corrected *= f
		a.note("× %.2f in an engine space = %.4g A", f, a.Corrected)
	case q.AmbientC > 30:
		if q.AmbientC >= insulation {
			return Ampacity{}, fmt.Errorf("air of %v °C: %v °C insulation may carry nothing there", q.AmbientC, insulation)
		}
		f := math.Sqrt((insulation - q.AmbientC) / (insulation - 30))
		a.Corrected *= f
		a.note("× √((%.4g−%.4g)/(%.4g−30)) = %.3f in air of %.4g °C: %.4g A", insulation, q.AmbientC, insulation, f, q.AmbientC, a.Corrected)
	}
	if q.Bundled >= 3 && q.NominalV >= 50 {
		key := "25+"
		switch {
		case q.Bundled == 3:
			key = "3"
		case q.Bundled <= 6:
			key = "4-6"
		case q.Bundled <= 24:
			key = "7-24"
		}
		f, err := dcFactor("bundle", key)
		if err != nil {
			return Ampacity{}, err
		}
		a.Corrected *= f
		a.note("× %.2f for %d together at %.4g V = %.4g A", f, q.Bundled, q.NominalV, a.Corrected)
	}
	a.Usable = a.Corrected
	if q.TerminalC > 0 && q.TerminalC < insulation {
		col := 60.0
		for _, c := range []float64{60, 75, 80, 90, 105} {
			if c <= q.TerminalC {
				col = c
			}
		}
		if limit, ok := dcTable()[dcKey{q.Size, col}]; ok && limit < a.Usable {
			a.Usable = limit
			a.note("terminals of %.4g °C: not above %.4g A", q.TerminalC, limit)
		}
	}
	return a, nil
}

func dcFactor(kind, key string) (float64, error) {
	for _, r := range read("ampacity_dc_factors") {
		if r["kind"] == kind && r["key"] == key {
			return r.num("factor"), nil
		}
	}
	return 0, fmt.Errorf("no %s factor for %s", kind, key)
}
