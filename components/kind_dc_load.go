package components

// DCLoad is lighting, a pump, a fan: anything on the DC side that uses power.
var DCLoad = Kind{
	ID: "dc-load", Title: "DC load", Prefix: "DL", Group: Loads, Role: Uses,
	Help: "An appliance on battery voltage.",
	Fields: []Field{
		req(number("a", "Current", "A", 0, 500)),
		help(number("min_v", "Lowest voltage", "V", 1, 100), "The lower end of the voltage range on its label."),
		help(number("max_v", "Highest voltage", "V", 1, 100), "The upper end of the voltage range on its label."),
		number("surge_a", "Starting current", "A", 0, 2000),
		number("hours_per_day", "Hours a day", "h", 0, 24),
		fromHour(), toHour(),
		def(help(truth("always_on", "Stays on at rest"), "An alarm, a memory, the battery's own electronics: may bypass the disconnect behind its own fuse."), Yes(false), "common practice, no source"),
		def(help(truth("critical", "Critical"), "Electronics, navigation lights, safety: 3 % of voltage drop at most instead of 10 %."), Yes(false), "common practice, no source"),
	},
	Ports: func(Spec) []Port {
		return []Port{{Name: "in", Poles: []Pole{Pos, Neg}, At: Point{-20, 0}, Side: Left}}
	},
	Joins: func(Spec) []Join { return nil },
	Symbol: func(Spec) Symbol {
		sym := Symbol{Body: body(-10, -10, 20, 10), Strokes: []Stroke{line(Wide, Point{-20, 0}, Point{-10, 0}), rect(Wide, -10, -10, 20, 10)}}
		sym.Strokes = append(sym.Strokes, dcMark(5, 0)...)
		return sym
	},
	Rating: func(s Spec) string { return amps(s["a"]) },
}

// fromHour and toHour are the hours of the day between which a load is used.
func fromHour() Field {
	return help(number("from_h", "Used from", "h", 0, 24), "Hour of the day, as 18 or 6.5. Left empty: spread over the day and night.")
}

func toHour() Field {
	return help(number("to_h", "Used until", "h", 0, 24), "Hour of the day; an hour before the first one is on the next day.")
}
