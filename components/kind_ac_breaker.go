package components

import "fmt"

// ACBreaker is a branch or main breaker. It opens its hots together on overload,
// on a short circuit and by hand; the ground goes past it, and the neutral
// unless it is told to open that too.
var ACBreaker = Kind{
	ID: "ac-breaker", Title: "AC breaker", Prefix: "CB", Group: ACDistribution, Role: Protects,
	Help: "Opens its hots together on overload or a short.",
	Fields: []Field{
		req(number("rating_a", "Rating", "A", 1, 200)),
		def(shapes(count("hots", "Hots opened", 1, 2)), Num(1), "a single-pole breaker"),
		def(number("interrupting_a", "Interrupting rating", "A", 1000, 200000), Num(10000), "common practice, no source: ordinary branch breakers are 10 kA"),
		def(truth("gfci", "Ground-fault protection"), Yes(false), "a plain breaker"),
		help(number("trip_ma", "Trips on a residual current of", "mA", 4, 1000), "Of a residual-current device: 30 mA protects people. Left empty: none."),
		def(help(truth("opens_neutral", "Opens the neutral too"), "A breaker of line and neutral, as 230 V caravans have."), Yes(false), "the neutral goes past it"),
	},
	Ports: func(s Spec) []Port {
		p := supplyPoles(s["hots"].Num() == 2)
		return []Port{{Name: "line", Poles: p, At: Point{-20, 0}, Side: Left}, {Name: "load", Poles: p, At: Point{20, 0}, Side: Right}}
	},
	Joins: func(s Spec) []Join {
		p := supplyPoles(s["hots"].Num() == 2)
		hots, rest := p[:len(p)-2], p[len(p)-2:]
		if s["opens_neutral"].Truth() {
			hots, rest = p[:len(p)-1], p[len(p)-1:]
		}
		return append(through("line", "load", Closable, hots...), through("line", "load", Fixed, rest...)...)
	},
	Symbol: func(Spec) Symbol { return breakerSymbol() },
	Rating: func(s Spec) string {
		if s["hots"].Num() == 2 {
			return fmt.Sprintf("%s 2-pole", amps(s["rating_a"]))
		}
		return amps(s["rating_a"])
	},
}

// breakerSymbol is the circuit breaker of IEC 60617: an open contact with a cross.
func breakerSymbol() Symbol {
	return Symbol{Body: body(-20, -12, 20, 4), Strokes: []Stroke{
		line(Wide, Point{-20, 0}, Point{-10, 0}), line(Wide, Point{10, 0}, Point{20, 0}), line(Wide, Point{10, 0}, Point{-8, -10}),
		line(Thin, Point{-13, -3}, Point{-7, 3}), line(Thin, Point{-13, 3}, Point{-7, -3}),
	}}
}
