package scene

import "image/color"

// Colours gives each role its colour. No role is told by colour alone: dash,
// width and letters tell it too.
type Colours map[Role]color.NRGBA

func rgb(v uint32) color.NRGBA {
	return color.NRGBA{uint8(v >> 16), uint8(v >> 8), uint8(v), 0xff}
}

// OnWhite are the colours of paper and of the light window. Every one but Paper
// and Clear has a contrast of 4.5 : 1 or more against white.
var OnWhite = Colours{
	Ink: rgb(0x1b1b1f), Faint: rgb(0x5f656d), Paper: rgb(0xffffff),
	Hot1: rgb(0x1b1b1f), Hot2: rgb(0xa3231c), Neutral: rgb(0x6a6f76), Ground: rgb(0x1d6b3a),
	DCPos: rgb(0xb0201a), DCNeg: rgb(0x1b1b1f), PV: rgb(0xb0201a), Live: rgb(0x5a2a82),
	Danger: rgb(0xa4161a), Violation: rgb(0x9a5b00), Advice: rgb(0x1f5a96), Clear: rgb(0xffffff),
}

// OnDark are the colours of the dark window, against a paper of #1e1f22.
var OnDark = Colours{
	Ink: rgb(0xe8e8ea), Faint: rgb(0x9aa1a9), Paper: rgb(0x1e1f22),
	Hot1: rgb(0xe8e8ea), Hot2: rgb(0xff8a80), Neutral: rgb(0xa9b0b8), Ground: rgb(0x66c08a),
	DCPos: rgb(0xff7a6e), DCNeg: rgb(0xd9d9dd), PV: rgb(0xff7a6e), Live: rgb(0xc9a4f2),
	Danger: rgb(0xff8a8d), Violation: rgb(0xf0b04a), Advice: rgb(0x7fb8f0), Clear: rgb(0x1e1f22),
}

// DeadAlpha is how much of its colour a dead line keeps.
const DeadAlpha = 0.35

const deadAlpha8 = 89 // DeadAlpha of 255

// Of gives a shape's colour, dimmed where it is dead.
func (c Colours) Of(s Shape) color.NRGBA {
	v := c[s.Role]
	if s.Dim {
		v.A = deadAlpha8
	}
	return v
}

// Millimetres gives the width of a line of each weight (ISO 128 series).
var Millimetres = [...]float64{0.18, 0.25, 0.5, 0.7}

// edges gives the width of each edge of a line with two, by weight, and betweenEdges
// the paper between them, all in millimetres: twice what a photocopy still parts.
var edges = [...]float64{0.13, 0.18, 0.3, 0.45}

const betweenEdges = 0.4

// UnitsPerMM is sheet units in one millimetre of paper.
const UnitsPerMM = 4
