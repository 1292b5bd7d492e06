package components

import "strings"

// BondKind is a deliberate jumper, drawn so that it is seen: between neutral and
// ground, or between the negative bar and the chassis.
var BondKind = Kind{
	ID: "bond", Title: "Bond", Prefix: "BJ", Group: Bonding, Role: Bonds,
	Help: "A deliberate jumper to ground: the place where neutral or negative meets the frame.",
	Fields: []Field{
		def(shapes(choice("a_pole", "Bonds", "N", "-", "G")), Str("-"), "the negative side"),
	},
	Ports: func(s Spec) []Port {
		return []Port{{Name: "a", Poles: []Pole{bondPole(s)}, At: Point{-20, 0}, Side: Left}, {Name: "b", Poles: []Pole{G}, At: Point{20, 0}, Side: Right}}
	},
	Joins: func(s Spec) []Join {
		p := bondPole(s)
		return []Join{{APort: "a", APole: p, BPort: "b", BPole: G, When: Fixed, Bond: p != G, Via: "bonding jumper"}}
	},
	Symbol: func(Spec) Symbol {
		return Symbol{Body: body(-20, -4, 20, 4), Strokes: []Stroke{
			line(Wide, Point{-20, 0}, Point{20, 0}), {Shape: Disc, Pts: []Point{{-12, 0}}, R: 4}, {Shape: Disc, Pts: []Point{{12, 0}}, R: 4},
		}}
	},
	Rating: func(s Spec) string { return strings.Replace(string(bondPole(s)), "-", "−", 1) + " to G" },
}

func bondPole(s Spec) Pole {
	if v := s["a_pole"]; v.Known() {
		return Pole(v.Str())
	}
	return Neg
}
