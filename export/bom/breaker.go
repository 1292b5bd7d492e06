package bom

import (
	"fmt"

	"rigline/components"
)

// Poles tells how many poles a breaker opens: its hots, and the neutral where it opens
// that too.
func Poles(hots float64, neutral components.Value) string {
	n := max(1, hots)
	if neutral.Truth() {
		return fmt.Sprintf("%v-pole, opens the neutral too", n+1)
	}
	return fmt.Sprintf("%v-pole", n)
}

// Residual is what a breaker trips on beside its own current, with a comma in front:
// the ground-fault device of a North American panel, or a residual current that is
// told in milliamperes.
func Residual(gfci, trip components.Value) string {
	switch {
	case trip.Known():
		return fmt.Sprintf(", trips on a residual current of %s mA", trip)
	case gfci.Truth():
		return ", ground-fault protected"
	}
	return ""
}
