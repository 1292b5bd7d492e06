package tables

import (
	"fmt"
	"math"
	"sync"

	"rigline/components/units"
)

// Temperature coefficients of resistance: of copper about 75 °C (NEC Chapter 9
// Table 8, note) and about 20 °C (IEC 60028).
const (
	alpha75 = 0.00323
	alpha20 = 0.00393
)

const footPerKilofoot = 1000

type wire struct{ solid, stranded float64 } // Ω per 1000 ft at 75 °C; 0: not tabulated

var table8 = sync.OnceValue(func() map[units.Size]wire {
	t := map[units.Size]wire{}
	for _, r := range read("nec_ch9_table_8") {
		s := r.size("size")
		w := t[s]
		if v := r.num("cu_uncoated"); r["strands"] == "1" {
			w.solid = v
		} else {
			w.stranded = v
		}
		t[s] = w
	}
	return t
})

var class5 = sync.OnceValue(func() map[float64]float64 {
	t := map[float64]float64{}
	for _, r := range read("iec_60228_class_5") {
		t[r.num("mm2")] = r.num("plain")
	}
	return t
})

// RunResistance is the direct-current resistance of one uncoated copper core, one
// way, at a conductor temperature in °C. AWG and kcmil go by NEC Chapter 9 Table 8,
//
//	R = R75 · (1 + 0.00323·(T − 75))
//
// and metric sections by IEC 60228 class 5, R = R20 · (1 + 0.00393·(T − 20)).
// Solid is for 18 to 8 AWG; elsewhere the stranded or class 5 figure stands, which
// is the higher. Skin effect is left out: under 1 % to 250 kcmil at 60 Hz.
func RunResistance(s units.Size, length units.Foot, tempC float64, solid bool) (units.Ohm, error) {
	if !(length >= 0) || math.IsInf(float64(length), 0) {
		return 0, fmt.Errorf("length of %v: want a length", length)
	}
	if s.Metric() {
		r, ok := class5()[float64(s.MM2())]
		if !ok {
			return 0, fmt.Errorf("%s: outside IEC 60228 class 5 as held, 0.5 to 150 mm2", s)
		}
		return warm(r*float64(length.Metres())/1000, alpha20, tempC-20)
	}
	w, ok := table8()[s]
	if !ok {
		return 0, fmt.Errorf("%s: outside NEC Chapter 9 Table 8 as held, 18 AWG to 250 kcmil", nameOf(s))
	}
	r := w.stranded
	if solid && w.solid > 0 {
		r = w.solid
	}
	return warm(r*float64(length)/footPerKilofoot, alpha75, tempC-75)
}

// warm carries a resistance to another temperature. The straight line is for
// conductors in service, and an absurd temperature is refused.
func warm(r, alpha, by float64) (units.Ohm, error) {
	k := 1 + alpha*by
	if !(k > 0.5 && k < 2.5) {
		return 0, fmt.Errorf("conductor %.4g K from the table's temperature: outside what its coefficient is for", by)
	}
	return units.Ohm(r * k), nil
}

// Conduit is what three single conductors of NEC Chapter 9 Table 9 lie in.
type Conduit int

// PVC is the column for conductors with no steel about them.
const (
	PVC Conduit = iota
	AluminumConduit
	SteelConduit
)

type impedance struct{ r, x float64 } // Ω per 1000 ft; r 0: not tabulated

type impedanceKey struct {
	size    units.Size
	metal   Metal
	conduit Conduit
}

var table9 = sync.OnceValue(func() map[impedanceKey]impedance {
	t := map[impedanceKey]impedance{}
	for _, r := range read("nec_ch9_table_9") {
		s := r.size("size")
		for _, m := range []struct {
			metal  Metal
			prefix string
		}{{Copper, "r_cu_"}, {Aluminum, "r_al_"}} {
			t[impedanceKey{s, m.metal, PVC}] = impedance{r.or(m.prefix+"pvc", 0), r.num("x_pvc")}
			t[impedanceKey{s, m.metal, AluminumConduit}] = impedance{r.or(m.prefix+"al", 0), r.num("x_pvc")}
			t[impedanceKey{s, m.metal, SteelConduit}] = impedance{r.or(m.prefix+"steel", 0), r.num("x_steel")}
		}
	}
	return t
})

// ConduitImpedance is the resistance at 75 °C and the reactance of one conductor,
// one way, at 60 Hz (NEC Chapter 9 Table 9).
func ConduitImpedance(s units.Size, m Metal, in Conduit, length units.Foot) (r, x units.Ohm, err error) {
	if m == CopperClad {
		return 0, 0, fmt.Errorf("%s: outside NEC Chapter 9 Table 9, which lists copper and aluminum", m)
	}
	z, ok := table9()[impedanceKey{s, m, in}]
	if !ok || z.r == 0 {
		return 0, 0, fmt.Errorf("%s: outside NEC Chapter 9 Table 9 as held, 14 AWG (aluminum 12 AWG) to 250 kcmil", nameOf(s))
	}
	kft := float64(length) / footPerKilofoot
	return units.Ohm(z.r * kft), units.Ohm(z.x * kft), nil
}

// RunReactance is the reactance of one core, one way, at 60 Hz: NEC Chapter 9
// Table 9, PVC column.
func RunReactance(s units.Size, length units.Foot) (units.Ohm, error) {
	_, x, err := ConduitImpedance(s, Copper, PVC, length)
	return x, err
}

// Temperatures that insulation stands for the length of a short circuit, in °C
// (ICEA P-32-382).
const (
	ThermosetShortC     = 250 // crosslinked
	ThermoplasticShortC = 150
)

// WithstandSeconds is how long a copper conductor bears a current before its
// insulation is spoilt, from conductor temperature t1 to t2 in °C:
//
//	t = 0.0297 · log10((t2 + 234) / (t1 + 234)) · (A / I)²
//
// with A in circular mils and I in A (ICEA P-32-382). All the heat is taken to stay
// in the copper, which holds for faults of up to a few seconds. It is +Inf for no
// current, 0 where t1 is not below t2, and an error for no size.
func WithstandSeconds(s units.Size, i units.Amp, t1, t2 float64) (units.Second, error) {
	switch {
	case s.IsZero():
		return 0, fmt.Errorf("no size: its withstand time is not known")
	case !(t1 > -234) || !(t2 > -234) || math.IsNaN(float64(i)):
		return 0, fmt.Errorf("%v from %.4g to %.4g °C: want a current and two temperatures", i, t1, t2)
	case t1 >= t2:
		return 0, nil
	}
	k := s.Cmil() / float64(i)
	return units.Second(0.0297 * math.Log10((t2+234)/(t1+234)) * k * k), nil
}

// AluminumWithstand is the same for aluminum, which bears less of its area:
// t = 0.0125 · log10((t2 + 228) / (t1 + 228)) · (A / I)² (constants from memory).
// Copper-clad aluminum is taken as aluminum. NaN where it is not known.
func AluminumWithstand(s units.Size, amps, t1, t2 float64) float64 {
	copper, err := WithstandSeconds(s, units.Amp(amps), t1, t2)
	if err != nil {
		return math.NaN()
	}
	return float64(copper) * 0.0125 / 0.0297 * math.Log10((t2+228)/(t1+228)) / math.Log10((t2+234)/(t1+234))
}
