package components

import (
	"fmt"
	"slices"
	"strings"
)

// ID is the tag of a part or a run, as written on the drawing.
type ID string

// Pole is one conductor of a port.
type Pole string

// The poles of the format: two hots of a three-wire supply, the one hot of a
// two-wire circuit, neutral, equipment ground, and the two sides of a DC circuit.
const (
	L1  Pole = "L1"
	L2  Pole = "L2"
	L   Pole = "L"
	N   Pole = "N"
	G   Pole = "G"
	Pos Pole = "+"
	Neg Pole = "-"
)

// Poles is every pole in the order in which cores are written.
var Poles = []Pole{L1, L2, L, N, G, Pos, Neg}

// Hot tells whether the pole is an ungrounded AC conductor.
func (p Pole) Hot() bool { return p == L1 || p == L2 || p == L }

// DC tells whether the pole belongs to a DC circuit.
func (p Pole) DC() bool { return p == Pos || p == Neg }

// Valid tells whether the pole is one of the format's.
func (p Pole) Valid() bool { return slices.Contains(Poles, p) }

// PortRef names a port of a part, as "PNL.main".
type PortRef struct {
	Part ID
	Port string
}

func (r PortRef) String() string { return string(r.Part) + "." + r.Port }

// ParsePortRef reads "PART.PORT". A part's ID may hold no dot.
func ParsePortRef(text string) (PortRef, error) {
	part, port, ok := strings.Cut(text, ".")
	if !ok || part == "" || port == "" {
		return PortRef{}, fmt.Errorf("%q names no port: want PART.PORT, as in BAT1.pos", text)
	}
	return PortRef{ID(part), port}, nil
}

// Terminal is one pole of one port.
type Terminal struct {
	PortRef
	Pole Pole
}

func (t Terminal) String() string { return t.PortRef.String() + "." + string(t.Pole) }

// At makes the terminal of a pole at this port.
func (r PortRef) At(p Pole) Terminal { return Terminal{r, p} }

// Core joins one pole at a run's from end to one at its to end. Mostly they are
// the same; "L>L1" takes the hot of a two-wire supply to leg 1 of a panel.
type Core struct{ From, To Pole }

func (c Core) String() string {
	if c.From == c.To {
		return string(c.From)
	}
	return string(c.From) + ">" + string(c.To)
}

// ParseCore reads "N" or "L>L1".
func ParseCore(text string) (Core, error) {
	a, b, crossed := strings.Cut(text, ">")
	if !crossed {
		b = a
	}
	c := Core{Pole(strings.TrimSpace(a)), Pole(strings.TrimSpace(b))}
	if !c.From.Valid() || !c.To.Valid() {
		return Core{}, fmt.Errorf("core %q is unknown: want one of L1 L2 L N G + -, or two as in L>L1", text)
	}
	return c, nil
}

// Role is the pole that gives the core its colour and name: the one at the end
// that says more (L1 rather than L, - or N rather than G).
func (c Core) Role() Pole {
	if c.From == L && c.To.Hot() || c.From == G {
		return c.To
	}
	return c.From
}
