package components

// ACLoad is an appliance, or several that are used alike.
var ACLoad = Kind{
	ID: "ac-load", Title: "AC load", Prefix: "LD", Group: Loads, Role: Uses,
	Help: "An appliance on 120 V or 240 V.",
	Fields: []Field{
		req(number("va", "Power", "VA", 0, 20000)),
		def(number("pf", "Power factor", "", 0.1, 1), Num(1), "common practice, no source: resistive or corrected"),
		def(shapes(count("hots", "Hots", 1, 2)), Num(1), "a 120 V appliance"),
		help(number("rated_v", "Rated voltage", "V", 100, 250), "The voltage on its plate; of a range, as 208–240 V, the lower one. It is asked for where the legs are 208 V apart."),
		help(number("rated_high_v", "Upper rated voltage", "V", 100, 250), "Of a range on its plate the higher one. Left empty: its plate names one voltage."),
		help(number("start_va", "Starting power", "VA", 0, 60000), "The largest apparent power while it starts."),
		def(help(truth("continuous", "Runs three hours or more"), "Such a load counts at 125 % (NEC 210.19, 210.20)."), Yes(false), "not told to be continuous"),
		number("hours_per_day", "Hours a day", "h", 0, 24),
		fromHour(), toHour(),
		help(truth("shore_only", "For outside power alone"), "An element that would empty the bank, as a water heater's or an absorption refrigerator's."),
		leakage(),
		def(help(truth("motor", "Mostly a motor"), "As an air conditioner's; the largest counts at 125 %."), Yes(false), "not told to be a motor"),
		help(text("never_with", "Interlock group"), "Loads of one group never run together, as heating and cooling."),
		def(choice("behaves", "Behaves as", "power", "resistance"), Str("power"), "the heavier of the two on a low supply"),
		help(number("max_breaker_a", "Largest breaker marked", "A", 10, 100), "The largest fuse or breaker that its plate allows. Air conditioners and motors give it."),
		help(truth("fastened", "Fastened in place"), "Built in, as a water heater or an air conditioner is. Beside outlets it takes at most half of its circuit (NEC 210.23(A)(2))."),
		help(truth("thermostat", "On a thermostat"), "Switches itself on, as an air conditioner, a water heater or a refrigerator."),
	},
	Ports: func(s Spec) []Port {
		return []Port{{Name: "in", Poles: supplyPoles(s["hots"].Num() == 2), At: Point{-20, 0}, Side: Left}}
	},
	Joins: func(Spec) []Join { return nil },
	Symbol: func(Spec) Symbol {
		return Symbol{Body: body(-10, -10, 20, 10), Strokes: []Stroke{
			line(Wide, Point{-20, 0}, Point{-10, 0}), rect(Wide, -10, -10, 20, 10), line(Thin, Point{-3, 6}, Point{13, 6}), sine(5, -2),
		}}
	},
	Rating: func(s Spec) string { return kilo(s["va"], "VA") },
}
