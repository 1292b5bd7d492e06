package components

// Chassis is a stud on the frame: the one place where G and - may meet.
var Chassis = Kind{
	ID: "chassis", Title: "Chassis", Prefix: "CH", Group: Bonding, Role: Bonds,
	Help: "A stud on the frame.",
	Ports: func(Spec) []Port {
		p := Port{Name: "stud", Poles: []Pole{G}, At: Point{0, -20}, Side: Top}
		for _, x := range []int{0, 10, -10, 20, -20} {
			p.Landings = append(p.Landings, Landing{At: Point{x, -20}})
		}
		return []Port{p}
	},
	Joins: func(Spec) []Join { return nil },
	Symbol: func(Spec) Symbol {
		return Symbol{Body: body(-20, -20, 20, 0), Strokes: []Stroke{
			line(Wide, Point{-20, -20}, Point{20, -20}), line(Wide, Point{0, -20}, Point{0, -10}), line(Wide, Point{-14, -10}, Point{14, -10}),
			line(Thin, Point{-14, -10}, Point{-20, 0}), line(Thin, Point{0, -10}, Point{-6, 0}), line(Thin, Point{14, -10}, Point{8, 0}),
		}}
	},
	Rating: func(Spec) string { return "" },
}
