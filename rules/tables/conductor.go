package tables

import (
	"fmt"
	"math"
	"sync"

	"rigline/components/units"
)

type wire struct{ solid, stranded, x float64 } // Ω and Ω per 1000 ft

var wires = sync.OnceValue(func() map[units.Size]wire {
	t := map[units.Size]wire{}
	for _, r := range read("conductor_properties") {
		switch r["record"] {
		case "dc_properties":
			s := size(r["size"], r["size_kind"])
			w := t[s]
			if v := r.num("r_dc_cu_uncoated_75C_ohm_per_kft"); r["strand_count"] == "1" {
				w.solid = v
			} else {
				w.stranded = v
			}
			t[s] = w
		case "ac_impedance":
			s := size(r["size"], r["size_kind"])
			w := t[s]
			w.x = r.num("x_pvc_or_al_conduit_ohm_per_kft")
			t[s] = w
		}
	}
	return t
})

var class5 = sync.OnceValue(func() map[float64]float64 {
	t := map[float64]float64{}
	for _, r := range read("awg") {
		t[r.num("iec_nearest_mm2")] = r.num("class5_plain_max_ohm_per_km")
	}
	return t
})

// Resistance is the resistance of one copper core, one way, in ohms: NEC Chapter
// 9 Table 8 for AWG and kcmil, R = R75·(1 + 0.00323·(T − 75)), or IEC 60228
// class 5, R = R20·(1 + 0.00393·(T − 20)), for metric sections. Direct current;
// skin effect is below 1 % at these sizes and 60 Hz.
func Resistance(s units.Size, feet, tempC float64, solid bool) (float64, error) {
	if s.Metric() {
		r, ok := class5()[float64(s.MM2())]
		if !ok {
			return 0, fmt.Errorf("%s: outside our rows of IEC 60228 class 5", s)
		}
		return r * feet * 0.3048 / 1000 * (1 + 0.00393*(tempC-20)), nil
	}
	w, ok := wires()[s]
	if !ok {
		return 0, fmt.Errorf("%s: outside NEC Chapter 9 Table 8 as we hold it", s)
	}
	r := w.stranded
	if solid && w.solid > 0 {
		r = w.solid
	}
	return r * feet / 1000 * (1 + 0.00323*(tempC-75)), nil
}

// Reactance is the 60 Hz reactance of one core, one way, in ohms: NEC Chapter 9
// Table 9, PVC column. Sizes that the table does not list, and metric ones, have
// the figure of the nearest size it does.
func Reactance(s units.Size, feet float64) float64 {
	best, x := math.Inf(1), 0.0
	for o, w := range wires() {
		if d := math.Abs(math.Log(o.Cmil() / s.Cmil())); w.x > 0 && d < best {
			best, x = d, w.x
		}
	}
	return x * feet / 1000
}

// Withstand is how long a copper conductor bears a current before its insulation
// is spoilt, in seconds: ICEA P-32-382,
// t = 0.0297·log10((T2+234)/(T1+234))·(A/I)², A in circular mils.
func Withstand(s units.Size, amps, t1, t2 float64) float64 {
	k := s.Cmil() / amps
	return 0.0297 * math.Log10((t2+234)/(t1+234)) * k * k
}
