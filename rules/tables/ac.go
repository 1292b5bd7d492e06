package tables

import (
	"fmt"

	"rigline/components/units"
)

// Ampacity is what a conductor may carry, in amperes, and how that was found.
type Ampacity struct {
	Table     float64  // the table's figure before corrections
	Corrected float64  // after the air and the conductors beside it
	Usable    float64  // and after the terminals: the figure to hold a load against
	Working   []string // the arithmetic, a step a line
	RestsOn   []string // defaults that were believed

	// WaivedFactor is the bundle factor of 33 CFR 183.425 that was left out because
	// the circuit is below 50 V nominal: law only from there, a cautious practice
	// below. It is 1 where nothing was left out.
	WaivedFactor float64
}

func (a *Ampacity) note(format string, args ...any) {
	a.Working = append(a.Working, fmt.Sprintf(format, args...))
}

// times takes a factor into the corrected figure and writes it down.
func (a *Ampacity) times(factor float64, why string, args ...any) {
	if factor == 1 {
		return
	}
	a.Corrected *= factor
	a.note("× %.4g %s = %v", factor, fmt.Sprintf(why, args...), units.Amp(a.Corrected))
}

// within holds the usable figure to a limit and writes that down where it bites.
func (a *Ampacity) within(limit float64, why string, args ...any) {
	if limit < a.Usable {
		a.Usable = limit
		a.note("%s: not above %v", fmt.Sprintf(why, args...), units.Amp(limit))
	}
}

// ACQuery asks for the ampacity of a conductor of building wire, of a sheathed
// cable or of a cord. Temperatures are in °C.
type ACQuery struct {
	Size        units.Size
	Metal       Metal
	InsulationC float64
	TerminalC   float64 // 0: not told, so 60 °C to 1 AWG, which is up to 100 A, and 75 °C above (110.14(C))
	AmbientC    float64
	Carrying    int  // current-carrying conductors together, itself among them; up to three are alike
	NMCable     bool // nonmetallic-sheathed: the 60 °C column is final (334.80)

	Cord         bool // flexible cord, by Table 400.5(A)(1)
	CordCarrying int  // carrying conductors in the cord; 0: as Carrying
}

// ACAmpacity is the ampacity by NEC 2023 Table 310.16:
//
//	column of the insulation × factor for the air × factor for those beside it,
//	not above the column of the terminals
//
// with the factors of Tables 310.15(B)(1)(1) and 310.15(C)(1), the terminals of
// 110.14(C) and the 60 °C column for nonmetallic-sheathed cable (334.80). A cord
// goes by Table 400.5(A)(1). The cap on the overcurrent device of small
// conductors is not in it: see SmallConductorCap. It is an error where a table
// does not reach, or permits no conductor.
func ACAmpacity(q ACQuery) (Ampacity, error) {
	if q.Cord {
		return cordAmpacity(q)
	}
	cols, err := lookup310(q.Size, q.Metal)
	if err != nil {
		return Ampacity{}, err
	}
	col, err := column310(units.Celsius(q.InsulationC))
	if err != nil {
		return Ampacity{}, err
	}
	air, err := AmbientFactor(q.AmbientC, q.InsulationC)
	if err != nil {
		return Ampacity{}, err
	}
	beside, err := CarryingFactor(q.Carrying)
	if err != nil {
		return Ampacity{}, err
	}
	a := Ampacity{Table: cols[col], Corrected: cols[col], WaivedFactor: 1}
	a.note("310.16, %v column: %s = %v", ratings310[col], withMetal(q.Size, q.Metal), units.Amp(a.Table))
	a.times(air, "at %v", units.Celsius(q.AmbientC))
	a.times(beside, "for %d carrying together", q.Carrying)
	a.Usable = a.Corrected

	terminal, why := q.TerminalC, fmt.Sprintf("terminals of %v", units.Celsius(q.TerminalC))
	if terminal == 0 {
		terminal, why = 60, "terminals not marked, 60 °C to 1 AWG (110.14(C))"
		if oneAWG.Less(q.Size) {
			terminal, why = 75, "terminals not marked, 75 °C above 1 AWG (110.14(C))"
		}
		a.RestsOn = append(a.RestsOn, fmt.Sprintf("terminals taken as %v", units.Celsius(terminal)))
	}
	limit, err := column310(units.Celsius(terminal))
	if err != nil {
		return Ampacity{}, fmt.Errorf("terminals: %w", err)
	}
	if q.NMCable && limit > 0 {
		limit, why = 0, "nonmetallic-sheathed cable, 60 °C column (334.80)"
	}
	a.within(cols[limit], "%s", why)
	return a, nil
}

var oneAWG = func() units.Size {
	s, err := units.ParseSize("1 AWG")
	if err != nil {
		panic(err)
	}
	return s
}()

func withMetal(s units.Size, m Metal) string {
	if m == Copper {
		return s.String()
	}
	return s.String() + " " + m.String()
}

// cordAmpacity goes by Table 400.5(A)(1), which knows copper only. Cold air
// raises the cord and not what it is plugged into, so the usable figure is not
// above the one for 30 °C.
func cordAmpacity(q ACQuery) (Ampacity, error) {
	n := q.CordCarrying
	if n == 0 {
		n = q.Carrying
	}
	switch {
	case q.Metal != Copper:
		return Ampacity{}, fmt.Errorf("cord of %s: outside NEC Table 400.5(A)(1), which is for copper", q.Metal)
	case n < 0 || n > 6:
		return Ampacity{}, fmt.Errorf("cord with %d carrying conductors: outside NEC 400.5(A)(3) as held, six at most", n)
	}
	v, err := CordTable(q.Size, n)
	if err != nil {
		return Ampacity{}, err
	}
	air, err := AmbientFactor(q.AmbientC, 60)
	if err != nil {
		return Ampacity{}, err
	}
	a := Ampacity{Table: float64(v), Corrected: float64(v), WaivedFactor: 1}
	column := "column B, two carrying"
	if n > 2 {
		column = "column A, three carrying"
	}
	a.note("400.5(A)(1), %s: cord of %s = %v", column, q.Size, v)
	top := a.Table
	if n > 3 {
		a.times(0.8, "for %d carrying (400.5(A)(3))", n)
		top = a.Corrected
	}
	a.times(air, "at %v", units.Celsius(q.AmbientC))
	a.Usable = a.Corrected
	a.within(top, "terminals of 60 °C")
	return a, nil
}
