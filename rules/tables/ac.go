package tables

import (
	"fmt"
	"sync"

	"rigline/components/units"
)

type acRow [3]float64 // 60, 75, 90 °C columns

var acTable = sync.OnceValue(func() map[units.Size]acRow {
	t := map[units.Size]acRow{}
	for _, r := range read("ampacity_ac") {
		t[size(r["size"], r["size_kind"])] = acRow{r.num("cu_60C_A"), r.num("cu_75C_A"), r.num("cu_90C_A")}
	}
	return t
})

// column is the index of the 60, 75 or 90 °C column: the highest not above t.
func column(t float64) (int, error) {
	switch {
	case t >= 90:
		return 2, nil
	case t >= 75:
		return 1, nil
	case t >= 60:
		return 0, nil
	}
	return 0, fmt.Errorf("insulation or terminals of %v °C: table 310.16 begins at 60 °C", t)
}

var columnName = [3]string{"60 °C", "75 °C", "90 °C"}

type band struct {
	lo, hi float64
	factor [3]float64 // 0: not permitted
}

var ambientBands = sync.OnceValue(func() []band {
	var bands []band
	for _, r := range read("ampacity_adjustments") {
		if r["record"] != "ambient_factor" {
			continue
		}
		b := band{lo: -273, hi: r.num("ambient_max_C")}
		if v, ok := r.maybe("ambient_min_C"); ok {
			b.lo = v
		}
		for i, col := range []string{"factor_60C", "factor_75C", "factor_90C"} {
			b.factor[i], _ = r.maybe(col)
		}
		bands = append(bands, b)
	}
	return bands
})

// AmbientFactor is the correction of NEC Table 310.15(B)(1)(1) for the air around
// a conductor of a 60, 75 or 90 °C rating.
func AmbientFactor(ambientC, ratingC float64) (float64, error) {
	col, err := column(ratingC)
	if err != nil {
		return 0, err
	}
	for _, b := range ambientBands() {
		if ambientC <= b.hi {
			if b.factor[col] == 0 {
				break
			}
			return b.factor[col], nil
		}
	}
	return 0, fmt.Errorf("air of %v °C: not permitted for %s insulation (Table 310.15(B)(1)(1))", ambientC, columnName[col])
}

// BundleFactor is the adjustment of NEC Table 310.15(C)(1) for the number of
// current-carrying conductors together.
func BundleFactor(carrying int) float64 {
	for _, r := range read("ampacity_adjustments") {
		if r["record"] != "ccc_factor" || carrying < int(r.num("ccc_min_count")) {
			continue
		}
		if most, ok := r.maybe("ccc_max_count"); ok && carrying > int(most) {
			continue
		}
		return r.num("factor_ccc")
	}
	return 1
}

// SmallWireCap is the largest overcurrent device on a small copper conductor
// (NEC 240.4(D)); capped is false from 8 AWG up.
func SmallWireCap(s units.Size) (amps float64, capped bool) {
	for _, r := range read("ampacity_adjustments") {
		if r["record"] == "small_conductor_limit" && r["metal"] == "copper" && size(r["size_AWG"], "AWG") == s {
			return r.num("max_overcurrent_A"), true
		}
	}
	return 0, false
}

// Ampacity is what a conductor may carry and how that was found.
type Ampacity struct {
	Table     float64 // the table's figure before corrections
	Corrected float64 // after heat and bundling
	Usable    float64 // and after the terminals
	Working   []string
	RestsOn   []string // defaults that were believed
}

// ACQuery asks for the ampacity of an AC conductor.
type ACQuery struct {
	Size        units.Size
	InsulationC float64
	TerminalC   float64 // 0: not told, so 60 °C up to 100 A and 75 °C above (NEC 110.14(C))
	AmbientC    float64
	Carrying    int  // current-carrying conductors together
	NMCable     bool // nonmetallic-sheathed: the 60 °C column is final (NEC 334.80)
	Cord        bool // flexible cord, by Table 400.5(A)(1)
}

// ACAmpacity is the ampacity by NEC 310.16 with corrections, or by Table
// 400.5(A)(1) for a cord, in amperes.
func ACAmpacity(q ACQuery) (Ampacity, error) {
	if q.Cord {
		return cordAmpacity(q)
	}
	if q.Size.Metric() {
		return Ampacity{}, fmt.Errorf("%s: table 310.16 lists AWG and kcmil only", q.Size)
	}
	cols, ok := acTable()[q.Size]
	if !ok {
		return Ampacity{}, fmt.Errorf("%s: outside table 310.16 (14 AWG to 250 kcmil)", q.Size)
	}
	col, err := column(q.InsulationC)
	if err != nil {
		return Ampacity{}, err
	}
	a := Ampacity{Table: cols[col], Corrected: cols[col]}
	a.note("310.16, %s column: %s = %.4g A", columnName[col], q.Size, a.Table)
	factor, err := AmbientFactor(q.AmbientC, q.InsulationC)
	if err != nil {
		return Ampacity{}, err
	}
	if factor != 1 {
		a.Corrected *= factor
		a.note("× %.2f in air of %.4g °C = %.4g A", factor, q.AmbientC, a.Corrected)
	}
	if f := BundleFactor(q.Carrying); f != 1 {
		a.Corrected *= f
		a.note("× %.2f for %d conductors together = %.4g A", f, q.Carrying, a.Corrected)
	}
	a.Usable = a.Corrected
	terminal, why := q.TerminalC, fmt.Sprintf("terminals of %.4g °C", q.TerminalC)
	if terminal == 0 {
		terminal, why = 60, "terminals not told, 60 °C to 1 AWG (110.14(C))"
		if oneAWG := size("1", "AWG"); oneAWG.Less(q.Size) {
			terminal, why = 75, "terminals not told, 75 °C above 1 AWG (110.14(C))"
		}
	}
	if q.NMCable && terminal > 60 {
		terminal, why = 60, "nonmetallic-sheathed cable: 60 °C column (334.80)"
	}
	tcol, err := column(terminal)
	if err != nil {
		return Ampacity{}, err
	}
	if cols[tcol] < a.Usable {
		a.Usable = cols[tcol]
		a.note("%s: not above %.4g A", why, a.Usable)
	}
	return a, nil
}

func (a *Ampacity) note(format string, args ...any) {
	a.Working = append(a.Working, fmt.Sprintf(format, args...))
}

func cordAmpacity(q ACQuery) (Ampacity, error) {
	carrying := 2
	if q.Carrying >= 3 {
		carrying = 3
	}
	for _, r := range read("conductor_properties") {
		if r["record"] != "cord_ampacity" || size(r["size"], r["size_kind"]) != q.Size || int(r.num("current_carrying_count")) != carrying {
			continue
		}
		v := r.num("ampacity_A")
		a := Ampacity{Table: v, Corrected: v}
		a.note("table 400.5(A)(1), %d carrying: %s = %.4g A", carrying, q.Size, v)
		factor, err := AmbientFactor(q.AmbientC, 60)
		if err != nil {
			return Ampacity{}, err
		}
		if factor != 1 {
			a.Corrected *= factor
			a.note("× %.2f in air of %.4g °C = %.4g A", factor, q.AmbientC, a.Corrected)
		}
		if q.Carrying >= 4 {
			a.Corrected *= 0.8
			a.note("× 0.80 for %d carrying conductors (400.5(A)(3)) = %.4g A", q.Carrying, a.Corrected)
		}
		a.Usable = a.Corrected
		return a, nil
	}
	return Ampacity{}, fmt.Errorf("%s cord: outside table 400.5(A)(1) as we hold it (18 to 2 AWG)", q.Size)
}
