package circuit

import (
	"errors"
	"fmt"

	"rigline/components"
	"rigline/rules/tables"
)

// Impedance is one core's. Its resistance is linear in its temperature, so two
// points hold it for all.
type Impedance struct {
	At0, At100 float64 // Ω, DC resistance at 0 and at 100 °C
	X          float64 // Ω at 60 Hz
	Missing    string  // the figure that is not told, "" where the impedance is known
}

// Ohms is the impedance at a conductor temperature in °C; a DC network has no
// use for the reactance.
func (z Impedance) Ohms(tempC float64, ac bool) complex128 {
	r := z.At0 + (z.At100-z.At0)*tempC/100
	if ac {
		return complex(r, z.X)
	}
	return complex(r, 0)
}

// aluminum is the resistance of aluminum against copper's, at 61 % of its
// conductivity (from memory).
const aluminum = 1.64

// impedanceOf looks a core up in the tables. One whose size or length is not told
// is ideal, and says so.
func impedanceOf(r components.Run, core components.Core) Impedance {
	size, ok := r.Size(core.From)
	length := r.Figure("length_ft")
	if !ok || !length.Known() {
		what := "length"
		if !ok {
			what = "size"
		}
		return Impedance{Missing: fmt.Sprintf("the %s of %s is not known", what, r.ID)}
	}
	cable, _ := r.Cable()
	solid := cable.SolidTo10 && size.Cmil() <= 10380
	cold, err := tables.Resistance(size, length.Value, 0, solid)
	hot, errHot := tables.Resistance(size, length.Value, 100, solid)
	if err != nil || errHot != nil {
		return Impedance{Missing: errors.Join(err, errHot).Error()}
	}
	if r.Metal() != components.Copper {
		cold, hot = cold*aluminum, hot*aluminum
	}
	sets := max(1, r.Figure("sets").Value)
	return Impedance{At0: cold / sets, At100: hot / sets, X: tables.Reactance(size, length.Value) / sets}
}
