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
		chargeSettings(0), chargeSettings(1), chargeSettings(2), neverCharges(),
		listing(),
		leakage(),
		space(),
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

// chargeSettings are the set points of what charges a bank: 0 the absorption
// voltage, 1 the equalizing voltage, 2 temperature compensation.
func chargeSettings(i int) Field {
	return []Field{
		help(number("absorb_v", "Absorption voltage set", "V", 10, 70), "The set point at the end of the bulk charge, for the whole bank: read the setting."),
		help(number("equalize_v", "Equalizing voltage set", "V", 10, 70), "Told only where the device equalizes: for vented lead alone."),
		help(truth("compensated", "Set point follows temperature"), "As lead wants it. Lithium does not."),
	}[i]
}

// neverCharges names a group of charge sources of which one works at a time.
func neverCharges() Field {
	return help(text("never_with", "Interlock group"), "Charge sources of one group never run together: a relay sees to it.")
}
