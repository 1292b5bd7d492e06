package components

// DCBreaker opens one conductor of a DC circuit, and can be closed again.
var DCBreaker = Kind{
	ID: "dc-breaker", Title: "DC breaker", Prefix: "CB", Group: DCDistribution, Role: Protects,
	Help: "Opens a DC conductor on overcurrent and by hand.",
	Fields: []Field{
		req(number("rating_a", "Rating", "A", 1, 500)),
		def(choice("family", "Form", "breaker-molded-dc", "breaker-surface-thermal", "breaker-din-polarised"), Str("breaker-molded-dc"), "common practice, no source"),
		number("volts_dc", "DC voltage rating", "V", 1, 1500),
		number("interrupting_a", "Interrupting rating", "A", 10, 100000),
		def(help(choice("reset", "Reset", "manual", "automatic"), "An automatic one closes again by itself when it has cooled."), Str("manual"), "common practice, no source: panel and surface forms are reset by hand"),
		help(truth("polarised", "Polarity marked"), "One that may break current in one direction only."),
		def(shapes(choice("pole", "Conductor", "+", "-")), Str("+"), "the positive side"),
	},
	Ports:  inlinePorts("line", "load"),
	Joins:  func(s Spec) []Join { return through("line", "load", Closable, onePole(s)) },
	Symbol: func(Spec) Symbol { return breakerSymbol() },
	Rating: func(s Spec) string { return amps(s["rating_a"]) + " DC" },
}
