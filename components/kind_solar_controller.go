package components

import "fmt"

// SolarController charges the bank from the array at its point of full power.
var SolarController = Kind{
	ID: "solar-controller", Title: "Solar controller", Prefix: "CC", Group: ChargeSources, Role: Converts,
	Help: "Charges the bank from the array.",
	Fields: []Field{
		req(number("max_pv_v", "Highest array voltage", "V", 10, 1000)),
		req(number("output_a", "Output", "A", 1, 200)),
		help(number("max_pv_a", "Highest array short-circuit current", "A", 1, 200), "As its manual states it."),
		coldCutoff(),
		help(truth("without_battery", "Stands losing the battery"), "Its manual allows the battery to be taken off while the sun shines."),
		chargeSettings(0), chargeSettings(1), chargeSettings(2), neverCharges(),
	},
	Ports:  func(Spec) []Port { return dcToDC("pv", "battery") },
	Joins:  func(Spec) []Join { return through("pv", "battery", Fixed, Neg) },
	Symbol: func(Spec) Symbol { return dcToDCSymbol() },
	Rating: func(s Spec) string { return fmt.Sprintf("%s, %s PV", amps(s["output_a"]), volts(s["max_pv_v"])) },
}

// dcToDC are the ports of a DC-to-DC device, each with its two leads.
func dcToDC(in, out string) []Port {
	dc := []Pole{Pos, Neg}
	return []Port{
		{Name: in, Poles: dc, At: Point{-40, 0}, Side: Left, Landings: []Landing{{At: Point{-40, 0}, Pole: Pos}, {At: Point{-40, 10}, Pole: Neg}}},
		{Name: out, Poles: dc, At: Point{40, 0}, Side: Right, Landings: []Landing{{At: Point{40, 0}, Pole: Pos}, {At: Point{40, 10}, Pole: Neg}}},
	}
}

func dcToDCSymbol() Symbol {
	sym := Symbol{Body: body(-30, -20, 30, 20), Strokes: []Stroke{
		rect(Wide, -30, -20, 30, 20), line(Thin, Point{-30, 20}, Point{30, -20}),
		line(Wide, Point{-40, 0}, Point{-30, 0}), line(Wide, Point{-40, 10}, Point{-30, 10}), line(Wide, Point{30, 0}, Point{40, 0}), line(Wide, Point{30, 10}, Point{40, 10}),
	}}
	sym.Strokes = append(sym.Strokes, dcMark(-17, -10)...)
	sym.Strokes = append(sym.Strokes, dcMark(17, 10)...)
	return sym
}
