// Package units holds the quantities of the trade and the sizes of conductors.
//
// A quantity prints as a fitter writes it: three significant figures, four where
// the first is a 1 and nowhere fewer than the whole units, so 31.4 A, 12.85 V,
// 0.154 Ω and 2213 A; small ones in thousandths, as 6 mA. Printing rounds and
// nothing else does: limits are compared before they are printed.
package units

import (
	"math"
	"strconv"
	"strings"
)

// The quantities, each in the unit of its name.
type (
	Amp     float64 // current, A
	Volt    float64 // voltage, V
	Watt    float64 // real power, W
	VA      float64 // apparent power, VA
	Ohm     float64 // resistance, reactance or impedance, Ω
	Metre   float64 // length, m
	Foot    float64 // length, ft
	MM2     float64 // area, mm²
	Celsius float64 // temperature, °C
	Second  float64 // time, s
)

// The inch is 25.4 mm by definition, and so the foot 0.3048 m.
const (
	metresPerFoot = 0.3048
	mmPerInch     = 25.4
)

// cmilPerMM2 is the circular mils in one mm². A circular mil is the area of a
// circle of 0.001 inch across: π/4·(0.0254 mm)².
const cmilPerMM2 = 4 / math.Pi * (1000 / mmPerInch) * (1000 / mmPerInch)

// Metres converts a length.
func (l Foot) Metres() Metre { return Metre(l * metresPerFoot) }

// Feet converts a length.
func (l Metre) Feet() Foot { return Foot(l / metresPerFoot) }

// Cmil is the area in circular mils.
func (a MM2) Cmil() float64 { return float64(a) * cmilPerMM2 }

// FromFahrenheit converts a temperature.
func FromFahrenheit(f float64) Celsius { return Celsius((f - 32) / 1.8) }

// Fahrenheit converts a temperature, to °F.
func (t Celsius) Fahrenheit() float64 { return float64(t)*1.8 + 32 }

func (i Amp) String() string     { return small(float64(i), "A", 0.1) }
func (v Volt) String() string    { return small(float64(v), "V", 0.1) }
func (p Watt) String() string    { return withUnit(float64(p), "W") }
func (s VA) String() string      { return withUnit(float64(s), "VA") }
func (r Ohm) String() string     { return small(float64(r), "Ω", 0.01) }
func (l Metre) String() string   { return withUnit(float64(l), "m") }
func (l Foot) String() string    { return withUnit(float64(l), "ft") }
func (a MM2) String() string     { return withUnit(float64(a), "mm²") }
func (t Celsius) String() string { return withUnit(float64(t), "°C") }
func (t Second) String() string  { return small(float64(t), "s", 0.1) }

// small prints in thousandths what is smaller than a bound.
func small(v float64, unit string, below float64) string {
	if v != 0 && math.Abs(v) < below {
		return withUnit(v*1000, "m"+unit)
	}
	return withUnit(v, unit)
}

func withUnit(v float64, unit string) string {
	switch {
	case math.IsNaN(v):
		return "unknown"
	case math.IsInf(v, 0):
		return "unlimited"
	}
	return figure(v) + " " + unit
}

// figure rounds to three significant figures, four where the first is a 1, and
// never above the decimal point below 10 000.
func figure(v float64) string {
	if v == 0 {
		return "0"
	}
	mag := int(math.Floor(math.Log10(math.Abs(v))))
	decimals := 2 - mag
	if math.Abs(v) < 2*math.Pow10(mag) {
		decimals++
	}
	if decimals <= 0 {
		if mag >= 4 {
			unit := math.Pow10(mag - 3)
			v = math.Round(v/unit) * unit
		}
		return strconv.FormatFloat(v, 'f', 0, 64)
	}
	text := strings.TrimRight(strings.TrimRight(strconv.FormatFloat(v, 'f', decimals, 64), "0"), ".")
	if text == "-0" {
		return "0"
	}
	return text
}
