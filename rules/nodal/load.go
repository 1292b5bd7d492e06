package nodal

import (
	"math"
	"math/cmplx"
)

// abs is quicker than cmplx.Abs where the squares neither overflow nor vanish, and
// the same where they do.
func abs(z complex128) float64 {
	square := real(z)*real(z) + imag(z)*imag(z)
	if square > 1e-280 && square < 1e280 {
		return math.Sqrt(square)
	}
	return cmplx.Abs(z)
}

// draw is what a power load draws at a voltage, in amperes: conj(S/V) down to
// 70 % of its rated voltage, below that V·conj(S)/(0.7·rated)². The two are the
// same at the boundary.
func (e *element) draw(v complex128) complex128 {
	if e.low(v) {
		knee := floor * e.rated
		return v * cmplx.Conj(e.x) / complex(knee*knee, 0)
	}
	if v == 0 {
		return 0
	}
	return cmplx.Conj(e.x / v)
}

// low tells whether a load has become an impedance.
func (e *element) low(v complex128) bool { return abs(v) < floor*e.rated }

// asked is the power that a load should draw at a voltage, in volt-amperes.
func (e *element) asked(v complex128) complex128 {
	if e.low(v) {
		q := abs(v) / (floor * e.rated)
		return e.x * complex(q*q, 0)
	}
	return e.x
}

// slope is how a load's current changes with its voltage, as a real 2×2 block
// that turns (dRe V, dIm V) into (dRe I, dIm I), row by row.
func (e *element) slope(v complex128) block {
	if e.low(v) {
		knee := floor * e.rated
		y := cmplx.Conj(e.x) / complex(knee*knee, 0)
		return turn(y)
	}
	if v == 0 {
		return block{}
	}
	c := cmplx.Conj(e.x / v / v) // dI = -conj(S/V²)·conj(dV)
	return block{-real(c), -imag(c), -imag(c), real(c)}
}
