package tables

import (
	"fmt"
	"math"
	"sync"

	"rigline/components/units"
)

// Metal is what a conductor is made of.
type Metal int

// Copper is the metal of a conductor that does not say.
const (
	Copper Metal = iota
	Aluminum
	CopperClad // copper-clad aluminum
)

func (m Metal) String() string {
	return [...]string{"copper", "aluminum", "copper-clad aluminum"}[m]
}

func metalOf(word string) Metal {
	m, ok := map[string]Metal{"copper": Copper, "aluminum": Aluminum, "copper-clad": CopperClad}[word]
	if !ok {
		panic("metal " + word)
	}
	return m
}

// ratings310 are the insulation ratings that NEC Table 310.16 has columns for.
var ratings310 = [3]units.Celsius{60, 75, 90}

// column310 is the index of the highest column not above a temperature rating.
func column310(t units.Celsius) (int, error) {
	for i := len(ratings310) - 1; i >= 0; i-- {
		if t >= ratings310[i] {
			return i, nil
		}
	}
	return 0, fmt.Errorf("rating of %v: outside NEC Table 310.16, whose columns are 60, 75 and 90 °C", t)
}

type row310 [2][3]float64 // copper, aluminum; by column; 0: not tabulated

var table310 = sync.OnceValue(func() map[units.Size]row310 {
	t := map[units.Size]row310{}
	for _, r := range read("nec_310_16") {
		t[r.size("size")] = row310{
			{r.num("cu_60"), r.num("cu_75"), r.num("cu_90")},
			{r.or("al_60", 0), r.or("al_75", 0), r.or("al_90", 0)},
		}
	}
	return t
})

// TableAmpacity is the figure of NEC Table 310.16 for a size and the column of a
// temperature rating: the highest of 60, 75 and 90 °C not above it. It holds for
// up to three current-carrying conductors together in air of 30 °C.
func TableAmpacity(s units.Size, m Metal, rating units.Celsius) (units.Amp, error) {
	col, err := column310(rating)
	if err != nil {
		return 0, err
	}
	v, err := lookup310(s, m)
	return units.Amp(v[col]), err
}

// InRaceway tells whether NEC 2023 Table 310.16 lists a size of a metal.
func InRaceway(s units.Size, m Metal) bool {
	_, err := lookup310(s, m)
	return err == nil
}

func lookup310(s units.Size, m Metal) ([3]float64, error) {
	metal := 0
	if m != Copper {
		metal = 1
	}
	r, ok := table310()[s]
	if v := r[metal]; ok && v[0] > 0 {
		return v, nil
	}
	switch {
	case s.IsZero():
		return [3]float64{}, fmt.Errorf("no size: NEC Table 310.16 is read by size")
	case s.Metric():
		return [3]float64{}, fmt.Errorf("%s: outside NEC Table 310.16, which lists AWG and kcmil only", s)
	case m == Copper:
		return [3]float64{}, fmt.Errorf("%s copper: outside NEC Table 310.16 as held, 14 AWG to 250 kcmil", s)
	}
	return [3]float64{}, fmt.Errorf("%s %s: outside NEC Table 310.16 as held, 12 AWG to 250 kcmil", s, m)
}

type ambientBand struct {
	to     float64
	factor [3]float64 // 0: not permitted
}

var ambientBands = sync.OnceValue(func() []ambientBand {
	var bands []ambientBand
	for _, r := range read("nec_310_15_b_1_ambient") {
		bands = append(bands, ambientBand{r.num("to_c"), [3]float64{r.or("f_60", 0), r.or("f_75", 0), r.or("f_90", 0)}})
	}
	return bands
})

// AmbientFactor is the correction of NEC Table 310.15(B)(1)(1) for the air around
// a conductor of a 60, 75 or 90 °C rating, both in °C. Air between two bands
// takes the hotter one. It is an error where the table permits no conductor of
// the rating.
func AmbientFactor(ambientC, ratingC float64) (float64, error) {
	col, err := column310(units.Celsius(ratingC))
	if err != nil {
		return 0, err
	}
	for _, b := range ambientBands() {
		if ambientC <= b.to && b.factor[col] > 0 {
			return b.factor[col], nil
		}
	}
	return 0, fmt.Errorf("air of %v: not permitted for a conductor of %v (NEC Table 310.15(B)(1)(1))", units.Celsius(ambientC), ratings310[col])
}

// ThermalFactor is the correction that the 30 °C tables rest on, for insulation
// rated tc in air of ta:
//
//	√((tc − ta) / (tc − 30 °C))
//
// (NEC 310.15(B)). It is an error where the air is as hot as the insulation may be.
func ThermalFactor(tc, ta units.Celsius) (float64, error) {
	if !(tc > 30) || !(ta < tc) || math.IsInf(float64(ta), 0) {
		return 0, fmt.Errorf("air of %v: a conductor of %v may carry nothing there", ta, tc)
	}
	return math.Sqrt(float64((tc - ta) / (tc - 30))), nil
}

type countBand struct {
	from, to int
	factor   float64
}

func countBands(name string) []countBand {
	var bands []countBand
	for _, r := range read(name) {
		bands = append(bands, countBand{int(r.num("from")), int(r.or("to", math.MaxInt32)), r.num("factor")})
	}
	return bands
}

var carryingBands = sync.OnceValue(func() []countBand { return countBands("nec_310_15_c_1_carrying") })

func factorFor(bands []countBand, n int) (float64, error) {
	n = max(n, 1) // a conductor that is asked about is there
	for _, b := range bands {
		if n >= b.from && n <= b.to {
			return b.factor, nil
		}
	}
	return 0, fmt.Errorf("%d conductors together: outside the table", n)
}

// CarryingFactor is the adjustment of NEC Table 310.15(C)(1) for the number of
// current-carrying conductors together, the conductor itself among them; up to
// three it is 1.
func CarryingFactor(n int) (float64, error) {
	if n < 0 {
		return 0, fmt.Errorf("%d conductors together: want the count of those that carry current", n)
	}
	return factorFor(carryingBands(), n)
}

type capKey struct {
	size  units.Size
	metal Metal
}

var smallCaps = sync.OnceValue(func() map[capKey]SmallCap {
	t := map[capKey]SmallCap{}
	for _, r := range read("nec_240_4_d_small_conductors") {
		t[capKey{r.size("size"), metalOf(r["metal"])}] = SmallCap{Amps: units.Amp(r.num("max_a")), Condition: r["condition"]}
	}
	return t
})

// SmallCap is the largest overcurrent device on a small conductor.
type SmallCap struct {
	Amps      units.Amp
	Condition string // what else has to hold, as for 18 and 16 AWG; empty: nothing
}

// SmallConductorCap is NEC 240.4(D) for a size and metal; capped is false for a
// size that the clause does not name, 8 AWG and larger among them.
func SmallConductorCap(s units.Size, m Metal) (limit SmallCap, capped bool) {
	limit, capped = smallCaps()[capKey{s, m}]
	return limit, capped
}

type cordKey struct {
	size     units.Size
	carrying int
}

var cords = sync.OnceValue(func() map[cordKey]float64 {
	t := map[cordKey]float64{}
	for _, r := range read("nec_400_5_a_1_cord") {
		t[cordKey{r.size("size"), int(r.num("carrying"))}] = r.num("amps")
	}
	return t
})

// CordTable is the figure of NEC Table 400.5(A)(1) for a flexible cord in air of
// 30 °C: column B for up to two carrying conductors, column A for three or more.
// Four to six carry 80 % of it (400.5(A)(3)), which is left to ACAmpacity.
func CordTable(s units.Size, carrying int) (units.Amp, error) {
	col := 2
	if carrying > 2 {
		col = 3
	}
	if v, ok := cords()[cordKey{s, col}]; ok {
		return units.Amp(v), nil
	}
	return 0, fmt.Errorf("cord of %s: outside NEC Table 400.5(A)(1) as held, 18 to 2 AWG without 3 AWG", nameOf(s))
}

func nameOf(s units.Size) string {
	if s.IsZero() {
		return "no size"
	}
	return s.String()
}
