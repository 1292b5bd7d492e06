package components

import "fmt"

// DCConverter feeds loads of one DC voltage from a bank of another.
var DCConverter = Kind{
	ID: "dc-converter", Title: "DC step-down", Prefix: "SD", Group: Conversion, Role: Converts,
	Help: "Feeds 12 V loads from a 24 V or 48 V bank.",
	Fields: []Field{
		req(number("output_a", "Output", "A", 1, 200)),
		req(number("in_v", "Input voltage", "V", 10, 60)),
		req(number("out_v", "Output voltage", "V", 3, 60)),
		def(number("efficiency", "Efficiency", "", 0.5, 0.99), Num(0.92), "common practice, no source"),
		sharesOutput(),
	},
	Ports:  func(Spec) []Port { return dcToDC("in", "out") },
	Joins:  func(Spec) []Join { return through("in", "out", Fixed, Neg) },
	Symbol: func(Spec) Symbol { return dcToDCSymbol() },
	Rating: func(s Spec) string {
		return fmt.Sprintf("%s, %s to %s", amps(s["output_a"]), volts(s["in_v"]), volts(s["out_v"]))
	},
}
