package components

import "fmt"

// Shunt measures the bank's current in its negative lead.
var Shunt = Kind{
	ID: "shunt", Title: "Shunt", Prefix: "SHT", Group: DCDistribution, Role: Measures,
	Help: "Measures what flows into and out of the bank. Everything but the bank lands on its system side.",
	Fields: []Field{
		req(number("rating_a", "Rating", "A", 1, 2000)),
		def(number("millivolts", "Voltage at rating", "mV", 10, 200), Num(50), "common practice, no source: 50 mV"),
		help(choice("sense_lead", "Positive sense lead", "fused", "unfused", "none"), "The thin lead to the battery's positive: fused means 1 A or less within 7 in of the post."),
		help(truth("controls", "Controls charging"), "Charging or a shutdown goes by what the shunt counts."),
	},
	Ports: func(Spec) []Port {
		p := []Pole{Neg}
		return []Port{{Name: "battery", Poles: p, At: Point{-20, 0}, Side: Left}, {Name: "system", Poles: p, At: Point{20, 0}, Side: Right}}
	},
	Joins: func(Spec) []Join { return through("battery", "system", Fixed, Neg) },
	Symbol: func(Spec) Symbol {
		return Symbol{Body: body(-15, -10, 15, 6), Strokes: []Stroke{
			rect(Wide, -15, -6, 15, 6), line(Wide, Point{-20, 0}, Point{-15, 0}), line(Wide, Point{15, 0}, Point{20, 0}),
			line(Thin, Point{-8, -6}, Point{-8, -10}), line(Thin, Point{8, -6}, Point{8, -10}),
		}}
	},
	Rating: func(s Spec) string { return fmt.Sprintf("%s %s", amps(s["rating_a"]), "shunt") },
}
