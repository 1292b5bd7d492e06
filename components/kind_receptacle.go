package components

// Receptacle is an outlet, or several of one circuit.
var Receptacle = Kind{
	ID: "receptacle", Title: "Receptacle", Prefix: "R", Group: Loads, Role: Uses,
	Help: "An outlet for plugs.",
	Fields: []Field{
		req(number("rating_a", "Rating", "A", 10, 50)),
		help(choice("location", "Where", "inside", "bathroom", "sink", "outside"), "In the bath or shower room, within 6 ft (1.8 m) of any sink, outside, or elsewhere inside."),
		help(count("outlets", "How many outlets", 1, 40), "Places to plug in on this circuit; a duplex outlet is two."),
		def(truth("gfci", "Ground-fault protection"), Yes(false), "a plain receptacle"),
	},
	Ports: func(Spec) []Port {
		return []Port{{Name: "in", Poles: supplyPoles(false), At: Point{-20, 0}, Side: Left}}
	},
	Joins: func(Spec) []Join { return nil },
	Symbol: func(Spec) Symbol {
		return Symbol{Body: body(-10, -10, 10, 10), Strokes: []Stroke{
			line(Wide, Point{-20, 0}, Point{-5, 0}), {Shape: Arc, Pts: []Point{{5, 0}}, R: 10, From: 90, To: 270, Weight: Wide}, line(Wide, Point{-5, -8}, Point{-5, 8}),
		}}
	},
	Rating: func(s Spec) string { return amps(s["rating_a"]) },
}
