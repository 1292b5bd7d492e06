package tables

import (
	"fmt"
	"sync"

	"rigline/components/units"
)

// Device is what a standard rating is wanted for.
type Device int

// A breaker has the ratings of NEC 240.6(A) without the fuse-only ones.
const (
	Breaker Device = iota
	Fuse
)

type rating struct {
	amps     units.Amp
	fuseOnly bool
}

var ratings = sync.OnceValue(func() []rating {
	var all []rating
	for _, r := range read("nec_240_6_a_standard_ratings") {
		all = append(all, rating{units.Amp(r.num("rating")), r["device"] == "fuse"})
	}
	return all
})

// NextStandard is the smallest standard rating of NEC 240.6(A) not below a
// current; ok is false above 6000 A.
func NextStandard(i units.Amp, d Device) (rated units.Amp, ok bool) {
	for _, r := range ratings() {
		if r.amps >= i && (d == Fuse || !r.fuseOnly) {
			return r.amps, true
		}
	}
	return 0, false
}

// LargestAtMost is the largest standard rating of NEC 240.6(A) not above a
// current; ok is false below the smallest, 1 A for a fuse and 15 A for a breaker.
func LargestAtMost(i units.Amp, d Device) (rated units.Amp, ok bool) {
	for _, r := range ratings() {
		if r.amps <= i && (d == Fuse || !r.fuseOnly) {
			rated, ok = r.amps, true
		}
	}
	return rated, ok
}

type groundRow struct {
	to               units.Amp
	copper, aluminum units.Size
}

var groundRows = sync.OnceValue(func() []groundRow {
	var rows []groundRow
	for _, r := range read("nec_250_122_equipment_ground") {
		rows = append(rows, groundRow{units.Amp(r.num("to_a")), r.size("copper"), r.size("aluminum")})
	}
	return rows
})

// GroundSize is the smallest equipment grounding conductor behind an overcurrent
// device (NEC Table 250.122). It need not be larger than the circuit conductors,
// and grows with them: see EnlargedGround.
func GroundSize(device units.Amp, m Metal) (units.Size, error) {
	if device > 0 {
		for _, r := range groundRows() {
			if device <= r.to {
				if m == Copper {
					return r.copper, nil
				}
				return r.aluminum, nil
			}
		}
	}
	return units.Size{}, fmt.Errorf("device of %v: outside NEC Table 250.122 as held, to 400 A", device)
}

// EnlargedGround is the smallest AWG or kcmil size for an equipment ground whose
// circuit conductors were made larger than they had to be, from least to fitted
// circular mils: base × fitted/least (NEC 250.122(B)). It is an error where that
// is larger than 250 kcmil.
func EnlargedGround(base units.Size, least, fitted float64) (units.Size, error) {
	if !(least > 0) || !(fitted > 0) || base.IsZero() {
		return units.Size{}, fmt.Errorf("ground of %s for conductors of %g in place of %g cmil: want sizes above zero", nameOf(base), fitted, least)
	}
	want := base.Cmil() * max(1, fitted/least)
	for _, s := range units.AWGSizes() {
		if s.Cmil() >= want {
			return s, nil
		}
	}
	return units.Size{}, fmt.Errorf("ground of %.0f cmil: larger than 250 kcmil, the largest size held", want)
}

type aicRow struct {
	voltsFrom, voltsTo, ccaTo float64
	main, branch              units.Amp
}

var aicRows = sync.OnceValue(func() []aicRow {
	var rows []aicRow
	for _, r := range read("abyc_e11_interrupting") {
		rows = append(rows, aicRow{r.num("volts_from"), r.num("volts_to"), r.num("cca_to"), units.Amp(r.num("main")), units.Amp(r.num("branch"))})
	}
	return rows
})

// InterruptingMinimum is the least interrupting rating of the first device from a
// lead-acid bank (main) and of every later one (branch), by the bank's nominal
// voltage and the cold-cranking amperes of its batteries in parallel (ABYC E-11
// Table 3B). Above 2200 A, and above 500 Ah, the declared short-circuit current
// holds instead, as it does for a lithium bank; the 48 V class has no row.
func InterruptingMinimum(nominal units.Volt, cca units.Amp) (main, branch units.Amp, err error) {
	if cca > 0 {
		for _, r := range aicRows() {
			if float64(nominal) >= r.voltsFrom && float64(nominal) <= r.voltsTo && float64(cca) <= r.ccaTo {
				return r.main, r.branch, nil
			}
		}
	}
	return 0, 0, fmt.Errorf("bank of %v and %v cold cranking: outside ABYC E-11 Table 3B; its short-circuit current has to be known", nominal, cca)
}
