package components

// SurgeProtector watches the supply and, where it can, opens on a lost neutral.
var SurgeProtector = Kind{
	ID: "surge-protector", Title: "Supply protector", Prefix: "SP", Group: ACSupply, Role: Switches,
	Help: "Clamps surges; a protector with cut-off also opens on a lost neutral or a wrong voltage.",
	Fields: []Field{
		req(shapes(number("rating_a", "Rating", "A", 15, 50))),
		def(truth("lost_neutral_trip", "Opens on a lost neutral"), Yes(true), "common practice, no source: cut-off protectors do, plain surge strips do not"),
	},
	Ports: func(s Spec) []Port {
		p := supplyPoles(s["rating_a"].Num() >= 50)
		return []Port{{Name: "line", Poles: p, At: Point{-30, 0}, Side: Left}, {Name: "load", Poles: p, At: Point{30, 0}, Side: Right}}
	},
	Joins: func(s Spec) []Join {
		p := supplyPoles(s["rating_a"].Num() >= 50)
		j := through("line", "load", Closable, p[:len(p)-1]...)
		return append(j, through("line", "load", Fixed, G)...)
	},
	Symbol: func(Spec) Symbol {
		return Symbol{Body: body(-20, -15, 20, 15), Strokes: []Stroke{
			rect(Wide, -20, -15, 20, 15), line(Wide, Point{-30, 0}, Point{-20, 0}), line(Wide, Point{20, 0}, Point{30, 0}),
			line(Thin, Point{-12, 8}, Point{-6, 8}, Point{6, -8}, Point{12, -8}), rect(Thin, -5, -10, 5, 10),
		}}
	},
	Rating: func(s Spec) string { return amps(s["rating_a"]) },
}
