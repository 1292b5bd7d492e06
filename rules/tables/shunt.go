package tables

import (
	"fmt"

	"rigline/components/units"
)

// Shunt is a measuring resistor, named by its current and the voltage at it.
type Shunt struct {
	Rated units.Amp
	Drop  units.Volt // at the rated current, mostly 50 mV
}

// Resistance is the shunt's resistance.
func (s Shunt) Resistance() (units.Ohm, error) {
	if !(s.Rated > 0) || !(s.Drop > 0) {
		return 0, fmt.Errorf("shunt of %v and %v: want both above zero", s.Rated, s.Drop)
	}
	return units.Ohm(float64(s.Drop) / float64(s.Rated)), nil
}

// At is the voltage across the shunt and its heat, V = I·R and P = I²·R, at a
// current.
func (s Shunt) At(i units.Amp) (units.Volt, units.Watt, error) {
	r, err := s.Resistance()
	return units.Volt(float64(i) * float64(r)), units.Watt(float64(i) * float64(i) * float64(r)), err
}

// Continuous is the current that the shunt may carry for good: two thirds of its
// rating, common practice without a clause.
func (s Shunt) Continuous() units.Amp { return s.Rated * 2 / 3 }
