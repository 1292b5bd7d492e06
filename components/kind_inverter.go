package components

import "fmt"

// dcLow is the lowest input voltage at which a converter works, where its maker
// does not say: 1.75 V a lead cell (rules of the trade for 12, 24, 48 V classes).
func dcLow(s Spec) Value {
	v := s["dc_v"]
	if !v.Known() {
		return Value{}
	}
	return Num(10.5 * VoltClass(v.Num()) / 12)
}

// VoltClass is the nominal class, 12, 24, 36 or 48 V, that a DC voltage belongs to.
func VoltClass(v float64) float64 {
	for _, c := range []float64{12, 24, 36, 48} {
		if v < c*1.25 {
			return c
		}
	}
	return v
}

// acPower are the fields that a plain inverter and an inverter/charger share.
func acPower() []Field {
	low := number("dc_low_v", "Lowest DC input", "V", 6, 60)
	low.Derive, low.DefaultFrom = dcLow, "common practice, no source: 10.5 V for each 12 V class"
	surge := number("surge_va", "Surge power", "VA", 50, 40000)
	return []Field{
		req(number("continuous_va", "Continuous power", "VA", 50, 20000)),
		surge,
		def(help(number("surge_s", "Surge time", "s", 0.01, 60), "How long it gives its surge power."), Num(5), "common practice, no source"),
		def(shapes(help(choice("inverts", "Makes", "L1", "both-split", "both-in-phase"), "Split legs are 240 V apart; in-phase legs 0 V, and their shared neutral carries the sum.")), Str("L1"), "one 120 V output"),
		def(number("efficiency", "Efficiency", "", 0.5, 0.99), Num(0.90), "common practice, no source"),
		number("idle_w", "Idle power", "W", 0, 200),
		space(),
		help(choice("way_round", "Way round when it fails", "bypass-switch", "plug", "none"), "How its loads are fed from the site while it is out of order: by a hand switch, beside it or built in; by a plug that moves to a site outlet; or not at all. Leave it where the drawing shows the way."),
		req(number("dc_v", "DC voltage", "V", 10, 60)),
		low,
		help(number("dc_high_v", "Highest DC input", "V", 10, 100), "Above it the device stops or breaks; on its label or in its manual."),
		def(number("ac_v", "AC voltage a leg", "V", 100, 240), Num(120), "North American practice"),
		def(help(truth("bonded", "Neutral bonded for good"), "A fixed screw between the output neutral and the case."), Yes(false), "a floating output"),
		listing(),
		help(truth("in_step", "Paired with another unit"), "True where a cable joins two units and they are set as one pair, 180° apart."),
		sharesOutput(),
		help(truth("output_gfci", "Outputs need ground-fault protection"), "True where its manual asks for a ground-fault device on every output circuit."),
		help(truth("soft_connect", "Limits its inrush"), "Its manual says that its capacitors charge slowly when the battery is connected."),
		help(number("output_breaker_a", "Breaker at its output", "A", 1, 100), "A breaker or fuse built into the unit at its AC output. Left empty: none."),
		help(number("fault_a", "Output fault current", "A", 10, 2000), "What the maker says it delivers into a short."),
		help(number("fault_s", "Shuts down on a short within", "s", 0, 60), "How long it feeds a short before it shuts down, as its maker says."),
	}
}

// listing is what the maker's mark says that a source or converter is listed to.
func listing() Field {
	return help(choice("listing", "Listed to", "ul-458", "ul-1741", "other", "none"), "The standard beside the test laboratory's mark. UL 458 is for vehicles and boats, UL 1741 for buildings.")
}

// sharesOutput is whether a converter may push into one conductor with others of its kind.
func sharesOutput() Field {
	return help(truth("shares_output", "Shares its output"), "True where its manual allows its output to be joined to another unit's, and the two are set and cabled for it.")
}

// leakage is the standing current from the hots to the case.
func leakage() Field {
	return help(number("leakage_ma", "Leakage to ground", "mA", 0, 20), "Through filters and damp elements. A leakage clamp around hot and neutral together reads it.")
}

// Inverter makes AC from the battery and does nothing else.
var Inverter = Kind{
	ID: "inverter", Title: "Inverter", Prefix: "INV", Group: Conversion, Role: Converts,
	Help:   "Makes 120 V AC from the battery.",
	Fields: acPower(),
	Ports: func(s Spec) []Port {
		return []Port{
			{Name: "ac-out", Title: "AC output", Poles: supplyPoles(twoOut(s)), At: Point{50, -20}, Side: Right},
			dcPort(0, 50), casePort(30, 50),
		}
	},
	Joins: func(s Spec) []Join {
		j := caseToGround("ac-out")
		if s["bonded"].Truth() {
			j = append(j, Join{APort: "ac-out", APole: N, BPort: "ac-out", BPole: G, When: Fixed, Bond: true, Via: "inverter bond"})
		}
		return j
	},
	Symbol: func(s Spec) Symbol {
		sym := converterBox()
		sym.Strokes = append(sym.Strokes, line(Wide, Point{40, -20}, Point{50, -20}), sine(20, 18))
		sym.Strokes = append(sym.Strokes, dcMark(-20, -18)...)
		return sym
	},
	Rating: func(s Spec) string { return fmt.Sprintf("%s, %s DC", kilo(s["continuous_va"], "VA"), volts(s["dc_v"])) },
}

func volts(v Value) string {
	if !v.Known() {
		return "? V"
	}
	return fmt.Sprintf("%v V", v)
}

func twoOut(s Spec) bool { w := s["inverts"].Str(); return w == "both-split" || w == "both-in-phase" }

func dcPort(x, y int) Port {
	return Port{Name: "dc", Title: "DC", Poles: []Pole{Pos, Neg}, At: Point{x, y}, Side: Bottom,
		Landings: []Landing{{At: Point{x - 20, y}, Pole: Pos}, {At: Point{x, y}, Pole: Neg}}}
}

func casePort(x, y int) Port {
	return Port{Name: "case", Title: "case ground", Poles: []Pole{G}, At: Point{x, y}, Side: Bottom}
}

// caseToGround joins the case stud to the ground of an AC port: metal is metal.
func caseToGround(port string) []Join {
	return []Join{{APort: "case", APole: G, BPort: port, BPole: G, When: Fixed}}
}

// converterBox is the converter of IEC 60617: a square with a diagonal, its DC
// leads below.
func converterBox() Symbol {
	return Symbol{Body: body(-40, -40, 40, 40), Strokes: []Stroke{
		rect(Wide, -40, -40, 40, 40), line(Thin, Point{-40, 40}, Point{40, -40}),
		line(Wide, Point{-20, 40}, Point{-20, 50}), line(Wide, Point{0, 40}, Point{0, 50}), line(Thin, Point{30, 40}, Point{30, 50}),
	}}
}
