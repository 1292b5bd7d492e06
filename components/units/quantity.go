// Package units holds the quantities of the trade and the sizes of conductors.
package units

// MM2 is an area in square millimetres.
type MM2 float64
