package tables

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"sync"

	"rigline/components/units"
)

type rating struct {
	amps     float64
	fuseOnly bool
}

var ratings = sync.OnceValue(func() []rating {
	var all []rating
	for _, r := range read("overcurrent") {
		if r["record"] == "standard_rating" {
			all = append(all, rating{r.num("rating_A"), r["device"] == "fuse_only"})
		}
	}
	return all
})

// StandardAtLeast is the smallest standard rating of NEC 240.6(A) not below a
// current; fuses may have the fuse-only ratings.
func StandardAtLeast(amps float64, fuse bool) (float64, bool) {
	for _, r := range ratings() {
		if r.amps >= amps && (fuse || !r.fuseOnly) {
			return r.amps, true
		}
	}
	return 0, false
}

// StandardAtMost is the largest standard rating of NEC 240.6(A) not above a current.
func StandardAtMost(amps float64, fuse bool) (best float64, ok bool) {
	for _, r := range ratings() {
		if r.amps <= amps && (fuse || !r.fuseOnly) {
			best, ok = r.amps, true
		}
	}
	return best, ok
}

// EquipmentGround is the smallest copper equipment ground for an overcurrent
// device (NEC Table 250.122).
func EquipmentGround(ocpdA float64) (units.Size, error) {
	for _, r := range read("overcurrent") {
		if r["record"] == "equipment_ground_min" && ocpdA <= r.num("egc_overcurrent_max_A") {
			return size(r["egc_cu_size_AWG"], "AWG"), nil
		}
	}
	return units.Size{}, fmt.Errorf("%v A: outside table 250.122 as we hold it (to 400 A)", ocpdA)
}

// Family is a generic family of fuses or DC breakers.
type Family struct {
	ID, Name, Standard string
	VoltsDC            float64
	Steps              []Step // interrupting rating by voltage
	Ratings            []float64
	Reversible         bool
	Limiting           bool // current-limiting
	row                row
}

// Step is an interrupting rating up to a voltage.
type Step struct{ Volts, Amps float64 }

var families = sync.OnceValue(func() map[string]Family {
	all := map[string]Family{}
	for _, r := range read("fuse_classes") {
		f := Family{ID: r["family"], Name: r["common_name"], Standard: r["standard"], VoltsDC: r.num("voltage_dc_V"), Reversible: r["reversible_polarity"] == "y", Limiting: r["current_limiting"] == "y", row: r}
		for _, s := range strings.Split(r["interrupting_steps"], ";") {
			v, a, _ := strings.Cut(s, ":")
			f.Steps = append(f.Steps, Step{mustFloat(v), mustFloat(a)})
		}
		for _, s := range strings.Split(r["ratings_A"], ";") {
			f.Ratings = append(f.Ratings, mustFloat(s))
		}
		all[f.ID] = f
	}
	return all
})

func mustFloat(s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		panic(err)
	}
	return v
}

// FuseFamily finds a family by the first column of the table.
func FuseFamily(id string) (Family, bool) {
	f, ok := families()[id]
	return f, ok
}

// Interrupts is the current that the family breaks at a voltage: zero above its
// last step, since an interrupting rating is never carried to a higher voltage.
func (f Family) Interrupts(volts float64) float64 {
	for _, s := range f.Steps {
		if volts <= s.Volts {
			return s.Amps
		}
	}
	return 0
}

// AtMost is the family's largest rating not above a current.
func (f Family) AtMost(amps float64) (best float64, ok bool) {
	for _, r := range f.Ratings {
		if r <= amps {
			best, ok = r, true
		}
	}
	return best, ok
}

// AtLeast is the family's smallest rating not below a current.
func (f Family) AtLeast(amps float64) (float64, bool) {
	for _, r := range f.Ratings {
		if r >= amps {
			return r, true
		}
	}
	return 0, false
}

// Opens is the shortest and the longest time in seconds after which a device of
// the family opens at a multiple of its rating: log-log between the family's
// points at 135, 200, 350 and 600 %, and nothing beyond them. An unknown end is
// NaN.
func (f Family) Opens(multiple float64) (least, most float64) {
	return f.curve("min", multiple), f.curve("max", multiple)
}

func (f Family) curve(end string, m float64) float64 {
	var xs, ys []float64
	for _, x := range []struct {
		m   float64
		col string
	}{{1.35, "t135_"}, {2, "t200_"}, {3.5, "t350_"}, {6, "t600_"}} {
		if v, ok := f.row.maybe(x.col + end + "_s"); ok && v > 0 {
			xs, ys = append(xs, x.m), append(ys, v)
		}
	}
	for i := 1; i < len(xs); i++ {
		if m >= xs[i-1] && m <= xs[i] {
			k := math.Log(m/xs[i-1]) / math.Log(xs[i]/xs[i-1])
			return math.Exp(math.Log(ys[i-1]) + k*(math.Log(ys[i])-math.Log(ys[i-1])))
		}
	}
	return math.NaN()
}
