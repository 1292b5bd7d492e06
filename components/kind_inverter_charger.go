package components

import "fmt"

// InverterCharger passes its AC input through a relay and charges the bank, or
// makes AC from the bank when the input is dead. Its ground relay bonds neutral
// to ground while it inverts and opens before it passes the input (UL 458
// practice, NEC 551.30).
var InverterCharger = Kind{
	ID: "inverter-charger", Title: "Inverter/charger", Prefix: "INV", Group: Conversion, Role: Converts,
	Help: "Passes shore power through and charges, or makes AC from the battery.",
	Fields: append(acPower(),
		def(shapes(choice("passes", "Passes through", "L1", "both")), Str("L1"), "one leg"),
		req(number("relay_a", "Transfer relay per pole", "A", 5, 100)),
		help(number("input_a", "AC input rating", "A", 5, 100), "What its label gives for the AC input."),
		help(number("input_limit_a", "Input current limit", "A", 1, 100), "The limit set on the device, per leg."),
		def(help(truth("boost", "Adds to a limited input"), "Holds the input at its limit and supplies the rest from the bank."), Yes(false), "common practice, no source"),
		def(help(truth("bond_relay", "Ground relay"), "Bonds neutral to ground while inverting only."), Yes(true), "UL 458 practice"),
		req(number("charge_a", "Charge current", "A", 0, 300)),
		def(help(truth("neutral_common", "Common neutral in and out"), "Most units join them; some open the input neutral while inverting."), Yes(true), "common practice, no source"),
		coldCutoff(),
		chargeSettings(0), chargeSettings(1), chargeSettings(2), neverCharges(),
		leakage(),
		def(shapes(truth("second_output", "Second output, live on shore only")), Yes(false), "one output"),
	),
	Ports: func(s Spec) []Port {
		ports := []Port{
			{Name: "ac-in", Title: "AC input", Poles: supplyPoles(passesBoth(s)), At: Point{-50, -20}, Side: Left},
			{Name: "ac-out", Title: "AC output", Poles: supplyPoles(passesBoth(s) || twoOut(s)), At: Point{50, -20}, Side: Right},
		}
		if s["second_output"].Truth() {
			ports = append(ports, Port{Name: "ac-out-2", Title: "AC output, shore only", Poles: supplyPoles(passesBoth(s)), At: Point{50, 0}, Side: Right})
		}
		return append(ports, dcPort(0, 50), casePort(30, 50))
	},
	Joins: inverterChargerJoins,
	Symbol: func(s Spec) Symbol {
		sym := converterBox()
		sym.Strokes = append(sym.Strokes, line(Wide, Point{40, -20}, Point{50, -20}), line(Wide, Point{-50, -20}, Point{-40, -20}), sine(-20, -18))
		if s["second_output"].Truth() {
			sym.Strokes = append(sym.Strokes, line(Wide, Point{40, 0}, Point{50, 0}))
		}
		sym.Strokes = append(sym.Strokes, dcMark(20, 18)...)
		return sym
	},
	Rating: func(s Spec) string { return fmt.Sprintf("%s, %s DC", kilo(s["continuous_va"], "VA"), volts(s["dc_v"])) },
}

func passesBoth(s Spec) bool { return s["passes"].Str() == "both" }

func inverterChargerJoins(s Spec) []Join {
	in, out := supplyPoles(passesBoth(s)), supplyPoles(passesBoth(s) || twoOut(s))
	joins := caseToGround("ac-out")
	joins = append(joins, through("ac-in", "ac-out", Fixed, G)...)
	neutral := Fixed
	if v := s["neutral_common"]; v.Known() && !v.Truth() {
		neutral = Passing
	}
	joins = append(joins, through("ac-in", "ac-out", neutral, N)...)
	switch {
	case in[0] == out[0]:
		joins = append(joins, through("ac-in", "ac-out", Passing, in[:len(in)-2]...)...)
	default: // one hot in, two legs out: the input reaches leg 1, and leg 2 too where the legs are in phase
		joins = append(joins, Join{APort: "ac-in", APole: L, BPort: "ac-out", BPole: L1, When: Passing})
		if s["inverts"].Str() == "both-in-phase" {
			joins = append(joins, Join{APort: "ac-in", APole: L, BPort: "ac-out", BPole: L2, When: Passing})
		}
	}
	if s["second_output"].Truth() {
		joins = append(joins, through("ac-in", "ac-out-2", Passing, in[:len(in)-2]...)...)
		joins = append(joins, through("ac-in", "ac-out-2", Fixed, N, G)...)
	}
	if v := s["bond_relay"]; !v.Told() || v.Truth() {
		joins = append(joins, Join{APort: "ac-out", APole: N, BPort: "ac-out", BPole: G, When: Inverting, Bond: true, Via: "ground relay"})
	}
	if s["bonded"].Truth() {
		joins = append(joins, Join{APort: "ac-out", APole: N, BPort: "ac-out", BPole: G, When: Fixed, Bond: true, Via: "inverter bond"})
	}
	return joins
}
