package components

// Autotransformer balances or steps two legs with one winding.
var Autotransformer = Kind{
	ID: "autotransformer", Title: "Autotransformer", Prefix: "AT", Group: Conversion, Role: Converts,
	Help:   "One tapped winding between two legs.",
	Fields: []Field{req(number("rating_va", "Rating", "VA", 100, 30000))},
	Ports: func(Spec) []Port {
		p := supplyPoles(true)
		return []Port{{Name: "a", Poles: p, At: Point{-30, 0}, Side: Left}, {Name: "b", Poles: p, At: Point{30, 0}, Side: Right}}
	},
	Joins: func(Spec) []Join { return through("a", "b", Fixed, supplyPoles(true)...) },
	Symbol: func(Spec) Symbol {
		return Symbol{Body: body(-20, -20, 20, 20), Strokes: []Stroke{
			{Shape: Circle, Pts: []Point{{0, 0}}, R: 14, Weight: Wide}, line(Wide, Point{-30, 0}, Point{-14, 0}), line(Wide, Point{14, 0}, Point{30, 0}),
			{Shape: Arc, Pts: []Point{{0, 0}}, R: 20, From: 180, To: 300, Weight: Wide},
		}}
	},
	Rating: func(s Spec) string { return kilo(s["rating_va"], "VA") },
}
