package components

// Inlet is the plug in the wall of the rig. Its pins face the site.
var Inlet = Kind{
	ID: "inlet", Title: "Shore inlet", Prefix: "INL", Group: ACSupply, Role: Carries,
	Help: "The inlet in the rig's wall that the cord plugs into.",
	Fields: []Field{
		req(shapes(Field{Key: "rating_a", Title: "Rating", Unit: "A", Type: Number, Min: 15, Max: 50, OneOf: []float64{15, 16, 20, 30, 50}, Help: "15, 20, 30 or 50 A; 50 A has four wires. A 230 V caravan has 16 A."})),
		help(number("height_m", "Height above ground", "m", 0, 4), "To the middle of the inlet; asked for in a 230 V caravan."),
		help(choice("plate", "Plate beside it", append([]string{"none"}, Services...)...), "The supply that the durable plate beside the inlet names."),
	},
	Ports: func(s Spec) []Port {
		p := supplyPoles(s["rating_a"].Num() >= 50)
		return []Port{{Name: "site", Title: "pins", Poles: p, At: Point{-20, 0}, Side: Left}, {Name: "rig", Title: "inside", Poles: p, At: Point{20, 0}, Side: Right}}
	},
	Joins: func(s Spec) []Join { return through("site", "rig", Fixed, supplyPoles(s["rating_a"].Num() >= 50)...) },
	Symbol: func(Spec) Symbol {
		return Symbol{Body: body(-10, -10, 10, 10), Strokes: []Stroke{
			{Shape: Filled, Pts: []Point{{-10, -4}, {2, -4}, {2, 4}, {-10, 4}}, Weight: Thin},
			{Shape: Arc, Pts: []Point{{2, 0}}, R: 10, From: 270, To: 90, Weight: Wide},
			line(Wide, Point{-20, 0}, Point{-10, 0}), line(Wide, Point{12, 0}, Point{20, 0}),
		}}
	},
	Rating: func(s Spec) string { return amps(s["rating_a"]) },
}
