package components

import "fmt"

// DCCharger charges the house bank from the vehicle's, within its own limit.
var DCCharger = Kind{
	ID: "dc-charger", Title: "DC-DC charger", Prefix: "DDC", Group: ChargeSources, Role: Converts,
	Help: "Charges the house bank from the alternator without overloading it.",
	Fields: []Field{
		req(number("output_a", "Output", "A", 1, 200)),
		req(number("in_v", "Input voltage", "V", 10, 60)),
		req(number("out_v", "Output voltage", "V", 10, 60)),
		coldCutoff(),
		def(number("efficiency", "Efficiency", "", 0.5, 0.99), Num(0.90), "common practice, no source"),
		chargeSettings(0), chargeSettings(1), chargeSettings(2), neverCharges(),
		help(choice("runs", "Runs", "engine", "always"), "Left empty: with the engine where its input hangs on the alternator or the starting battery, else whenever its input is alive."),
	},
	Ports:  func(Spec) []Port { return dcToDC("in", "out") },
	Joins:  func(Spec) []Join { return through("in", "out", Fixed, Neg) },
	Symbol: func(Spec) Symbol { return dcToDCSymbol() },
	Rating: func(s Spec) string {
		return fmt.Sprintf("%s, %s to %s", amps(s["output_a"]), volts(s["in_v"]), volts(s["out_v"]))
	},
}
