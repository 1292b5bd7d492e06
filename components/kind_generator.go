package components

import "fmt"

// Generator is an engine set with its own output breakers. Bonded says whether
// its neutral is joined to its frame.
var Generator = Kind{
	ID: "generator", Title: "Generator", Prefix: "GEN", Group: ACSupply, Role: Supplies,
	Help: "An engine-driven set, built in or carried.",
	Fields: []Field{
		req(number("rating_va", "Rating", "VA", 100, 30000)),
		def(shapes(help(choice("legs", "Windings", "one", "opposite", "same-phase"), "Opposite legs are 240 V apart; same-phase legs 0 V. Measure hot to hot.")), Str("one"), "common practice, no source: small sets have one 120 V winding"),
		req(number("breaker_a", "Output breaker per hot", "A", 5, 100)),
		def(help(truth("output_breaker", "Has its own output breaker"), "False for a set whose leads come straight from the windings."), Yes(true), "common practice, no source: most sets carry one"),
		def(help(truth("bonded", "Neutral bonded to frame"), "Built-in sets mostly are, carried inverter sets mostly are not. Measure neutral to frame, engine off."), Yes(false), "common practice, no source"),
		def(number("subtransient_pu", "Subtransient reactance", "pu", 0.05, 0.5), Num(0.15), "machine theory, common figure, no source"),
		help(truth("neutral_marked", "Marked bonded or floating"), "Whether the set carries a mark that says which its neutral is."),
		help(number("hours_per_day", "Hours a day", "h", 0, 24), "How long it may run on an ordinary day."),
		truth("frame_bonded", "Frame strapped to chassis"),
	},
	Ports: func(s Spec) []Port {
		return []Port{{Name: "out", Title: "output", Poles: supplyPoles(twoLegs(s)), At: Point{30, 0}, Side: Right}}
	},
	Joins: func(s Spec) []Join {
		if !s["bonded"].Truth() {
			return nil
		}
		return []Join{{APort: "out", APole: N, BPort: "out", BPole: G, When: Fixed, Bond: true, Via: "generator bond"}}
	},
	Symbol: func(Spec) Symbol {
		return Symbol{Body: body(-20, -20, 20, 20), Strokes: []Stroke{
			{Shape: Circle, Pts: []Point{{0, 0}}, R: 20, Weight: Wide}, letters(0, -6, 10, "G"), sine(0, 8),
			line(Wide, Point{20, 0}, Point{30, 0}),
		}}
	},
	Rating: func(s Spec) string { return kilo(s["rating_va"], "VA") + breakerText(s["breaker_a"]) },
}

func twoLegs(s Spec) bool { return s["legs"].Known() && s["legs"].Str() != "one" }

func breakerText(v Value) string {
	if !v.Known() {
		return ""
	}
	return fmt.Sprintf(", %v A", v)
}

// kilo prints 2400 VA as "2.4 kVA"; an unknown figure as "? VA".
func kilo(v Value, unit string) string {
	switch {
	case !v.Known():
		return "? " + unit
	case v.Num() >= 1000:
		return fmt.Sprintf("%.4g k%s", v.Num()/1000, unit)
	}
	return fmt.Sprintf("%.4g %s", v.Num(), unit)
}

// amps prints a rating, or "? A".
func amps(v Value) string {
	if !v.Known() {
		return "? A"
	}
	return fmt.Sprintf("%v A", v)
}

func sine(x, y int) Stroke {
	return line(Thin, Point{x - 8, y}, Point{x - 6, y - 3}, Point{x - 4, y - 4}, Point{x - 2, y - 3}, Point{x, y},
		Point{x + 2, y + 3}, Point{x + 4, y + 4}, Point{x + 6, y + 3}, Point{x + 8, y})
}

func dcMark(x, y int) []Stroke {
	return []Stroke{line(Thin, Point{x - 7, y - 2}, Point{x + 7, y - 2}),
		line(Thin, Point{x - 7, y + 2}, Point{x - 3, y + 2}), line(Thin, Point{x - 2, y + 2}, Point{x + 2, y + 2}), line(Thin, Point{x + 3, y + 2}, Point{x + 7, y + 2})}
}
