package components

import "slices"

// Splice joins three cables pole by pole.
var Splice = Kind{
	ID: "splice", Title: "Junction", Prefix: "J", Group: ACDistribution, Role: Carries,
	Help: "A junction box or splice where three cables meet.",
	Fields: []Field{
		def(shapes(Field{Key: "poles", Title: "Poles", Type: List, Choices: []string{"L1", "L2", "L", "N", "G", "+", "-"}}), Words("L", "N", "G"), "a two-wire circuit with ground"),
	},
	Ports: func(s Spec) []Port {
		p := splicePoles(s)
		return []Port{{Name: "a", Poles: p, At: Point{-10, 0}, Side: Left}, {Name: "b", Poles: p, At: Point{10, 0}, Side: Right}, {Name: "c", Poles: p, At: Point{0, 10}, Side: Bottom}}
	},
	Joins: func(s Spec) []Join {
		p := splicePoles(s)
		return append(through("a", "b", Fixed, p...), through("a", "c", Fixed, p...)...)
	},
	Symbol: func(Spec) Symbol {
		return Symbol{Body: body(-4, -4, 4, 4), Strokes: []Stroke{
			line(Wide, Point{-10, 0}, Point{10, 0}), line(Wide, Point{0, 0}, Point{0, 10}), {Shape: Disc, Pts: []Point{{0, 0}}, R: 4},
		}}
	},
	Rating: func(Spec) string { return "" },
}

func splicePoles(s Spec) []Pole {
	v := s["poles"]
	if !v.Known() {
		return []Pole{L, N, G}
	}
	var poles []Pole
	for _, p := range Poles {
		if slices.Contains(v.Words(), string(p)) {
			poles = append(poles, p)
		}
	}
	return poles
}
