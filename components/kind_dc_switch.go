package components

// What closes a DC switch: a hand, or a relay that waits for the engine or for a charge
// source on either side.
const (
	ByHand       = "hand"
	WithEngine   = "engine"
	WhileCharged = "charging"
)

// DCSwitch disconnects one conductor, by hand or by a relay.
var DCSwitch = Kind{
	ID: "dc-switch", Title: "DC disconnect", Prefix: "SW", Group: DCDistribution, Role: Switches,
	Help: "Disconnects the bank or a circuit by hand, or joins two banks by a relay.",
	Fields: []Field{
		req(number("rating_a", "Continuous rating", "A", 1, 1000)),
		number("surge_a", "Intermittent rating", "A", 1, 3000),
		number("volts_dc", "DC voltage rating", "V", 1, 1500),
		help(number("precharge_ohm", "Pre-charge resistor", "Ω", 1, 1000), "Across the open contact, by a button: fills the inverter's capacitors before the switch closes."),
		space(),
		help(choice("closed_by", "Closed by", ByHand, WithEngine, WhileCharged),
			"A battery switch by hand; a split-charge relay with the engine, by the ignition or because it senses the alternator's voltage; one that senses both sides while anything charges either. Left empty: by hand."),
		def(shapes(choice("pole", "Conductor", "+", "-")), Str("+"), "the positive side"),
	},
	Ports: inlinePorts("line", "load"),
	Joins: func(s Spec) []Join {
		when := Closable
		if IsRelay(s["closed_by"]) {
			when = PulledIn
		}
		return through("line", "load", when, onePole(s))
	},
	Symbol: func(s Spec) Symbol {
		sym := Symbol{Body: body(-20, -12, 20, 4), Strokes: []Stroke{
			line(Wide, Point{-20, 0}, Point{-10, 0}), line(Wide, Point{10, 0}, Point{20, 0}), line(Wide, Point{10, 0}, Point{-8, -10}),
			line(Wide, Point{-10, -3}, Point{-10, 3}),
		}}
		if IsRelay(s["closed_by"]) { // its coil, below the contact that it moves
			sym.Body = body(-20, -12, 20, 16)
			sym.Strokes = append(sym.Strokes, rect(Thin, -6, 8, 6, 16), line(Thin, Point{1, 8}, Point{1, -5}))
		}
		return sym
	},
	Rating: func(s Spec) string {
		switch s["closed_by"].Str() {
		case WithEngine:
			return amps(s["rating_a"]) + " relay, by the engine"
		case WhileCharged:
			return amps(s["rating_a"]) + " relay, by a charge"
		}
		return amps(s["rating_a"])
	},
}

// IsRelay tells whether what closes a DC switch is a relay.
func IsRelay(closedBy Value) bool {
	return closedBy.Known() && closedBy.Str() != ByHand
}
