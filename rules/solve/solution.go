// Package solve turns a settled circuit into numbers: the voltage at every
// terminal and the current in every link, AC and DC together.
package solve

import (
	"rigline/rules/circuit"
)

// Solution is a solved circuit.
type Solution struct {
	Circuit *circuit.Circuit
}

// Solve solves a settled circuit.
func Solve(c *circuit.Circuit) *Solution { return &Solution{Circuit: c} }
