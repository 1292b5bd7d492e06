package components

import "fmt"

// Charger makes DC from AC: a converter of an older rig, or a shore charger.
var Charger = Kind{
	ID: "charger", Title: "Charger", Prefix: "CHG", Group: Conversion, Role: Converts,
	Help: "Charges the bank from AC.",
	Fields: []Field{
		req(number("charge_a", "Charge current", "A", 1, 300)),
		def(number("efficiency", "Efficiency", "", 0.5, 0.99), Num(0.88), "common practice, no source"),
		req(number("dc_v", "DC voltage", "V", 10, 60)),
		coldCutoff(),
		listing(),
		leakage(),
	},
	Ports: func(Spec) []Port {
		return []Port{{Name: "ac-in", Title: "AC input", Poles: supplyPoles(false), At: Point{-50, -20}, Side: Left}, dcPort(0, 50), casePort(30, 50)}
	},
	Joins: func(Spec) []Join { return caseToGround("ac-in") },
	Symbol: func(Spec) Symbol {
		sym := converterBox()
		sym.Strokes = append(sym.Strokes, line(Wide, Point{-50, -20}, Point{-40, -20}), sine(-22, -20))
		sym.Strokes = append(sym.Strokes, dcMark(20, 20)...)
		return sym
	},
	Rating: func(s Spec) string { return fmt.Sprintf("%s, %s DC", amps(s["charge_a"]), volts(s["dc_v"])) },
}
