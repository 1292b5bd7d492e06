package components

// DCSwitch disconnects one conductor by hand.
var DCSwitch = Kind{
	ID: "dc-switch", Title: "DC disconnect", Prefix: "SW", Group: DCDistribution, Role: Switches,
	Help: "Disconnects the bank or a circuit by hand.",
	Fields: []Field{
		req(number("rating_a", "Continuous rating", "A", 1, 1000)),
		number("surge_a", "Intermittent rating", "A", 1, 3000),
		number("volts_dc", "DC voltage rating", "V", 1, 1500),
		help(number("precharge_ohm", "Pre-charge resistor", "Ω", 1, 1000), "Across the open contact, by a button: fills the inverter's capacitors before the switch closes."),
		space(),
		def(shapes(choice("pole", "Conductor", "+", "-")), Str("+"), "the positive side"),
	},
	Ports: inlinePorts("line", "load"),
	Joins: func(s Spec) []Join { return through("line", "load", Closable, onePole(s)) },
	Symbol: func(Spec) Symbol {
		return Symbol{Body: body(-20, -12, 20, 4), Strokes: []Stroke{
			line(Wide, Point{-20, 0}, Point{-10, 0}), line(Wide, Point{10, 0}, Point{20, 0}), line(Wide, Point{10, 0}, Point{-8, -10}),
			line(Wide, Point{-10, -3}, Point{-10, 3}),
		}}
	},
	Rating: func(s Spec) string { return amps(s["rating_a"]) },
}
