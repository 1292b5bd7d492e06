package components

// Alternator is driven by the vehicle's engine; its frame is its negative.
var Alternator = Kind{
	ID: "alternator", Title: "Alternator", Prefix: "ALT", Group: ChargeSources, Role: Supplies,
	Help: "Charges while the engine runs.",
	Fields: []Field{
		req(number("rating_a", "Rating", "A", 10, 500)),
		help(number("hours_per_day", "Driving hours a day", "h", 0, 24), "How long the engine runs on an ordinary day."),
		def(help(truth("regulated", "Holds its own temperature down"), "A regulator that senses the alternator's heat, or forced cooling."), Yes(false), "common practice, no source: a vehicle's own alternator has neither"),
		def(number("volts", "Set voltage", "V", 12, 60), Num(14.2), "common practice, no source"),
		coldCutoff(),
		help(truth("load_dump_protected", "Load-dump protected"), "A clamp or a regulator made for it takes the spike when the battery is lost."),
	},
	Ports: func(Spec) []Port {
		return []Port{{Name: "out", Poles: []Pole{Pos, Neg}, At: Point{30, 0}, Side: Right,
			Landings: []Landing{{At: Point{30, 0}, Pole: Pos}, {At: Point{30, 10}, Pole: Neg}}}}
	},
	Joins: func(Spec) []Join { return nil },
	Symbol: func(Spec) Symbol {
		return Symbol{Body: body(-20, -20, 20, 20), Strokes: append([]Stroke{
			{Shape: Circle, Pts: []Point{{0, 0}}, R: 20, Weight: Wide}, letters(0, -6, 10, "G"),
			line(Wide, Point{20, 0}, Point{30, 0}), line(Wide, Point{18, 10}, Point{30, 10}),
		}, dcMark(0, 9)...)}
	},
	Rating: func(s Spec) string { return amps(s["rating_a"]) },
}
