package checks

import (
	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
	"rigline/rules/tables"
)

// Ampacity is what one core of a run may carry in a settled state, in amperes, the
// figure that the rules hold a device against. It is an error where a figure is
// missing or the tables do not reach.
func Ampacity(c *circuit.Circuit, r components.Run, pole components.Pole) (tables.Ampacity, error) {
	return runAmpacity(&rules.Pass{Doc: c.Doc, State: c.State, Circuit: c}, r, pole)
}

// AmpacityForHours is what one core of a run may carry as a continuous load: as
// Ampacity, and not above the column of its terminals, 75 °C where a DC device's are
// not marked.
func AmpacityForHours(c *circuit.Circuit, r components.Run, pole components.Pole) (tables.Ampacity, error) {
	return carries(&rules.Pass{Doc: c.Doc, State: c.State, Circuit: c}, r, pole)
}
