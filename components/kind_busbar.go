package components

// Busbar is one bar with studs, of one pole.
var Busbar = Kind{
	ID: "busbar", Title: "Bus bar", Prefix: "BUS", Group: DCDistribution, Role: Carries,
	Help: "A bar with studs where cables of one pole meet.",
	Fields: []Field{
		req(number("rating_a", "Rating", "A", 10, 2000)),
		def(count("studs", "Studs", 1, 24), Num(4), "a four-stud bar"),
		help(text("order", "Lugs along the bar"), "The runs in their order from one end to the other, as W4 W7 W9."),
		def(shapes(choice("pole", "Pole", "+", "-", "G")), Str("+"), "a positive bar"),
	},
	Ports: func(s Spec) []Port {
		p := Port{Name: "bar", Poles: []Pole{onePole(s)}, Side: Top}
		for _, x := range studPlaces(s) {
			p.Landings = append(p.Landings, Landing{At: Point{x, 0}})
		}
		p.At = p.Landings[0].At
		return []Port{p}
	},
	Joins: func(Spec) []Join { return nil },
	Symbol: func(s Spec) Symbol {
		studs := studPlaces(s)
		x0, x1 := studs[0]-10, studs[len(studs)-1]+10
		sym := Symbol{Body: body(x0, -3, x1, 3), Strokes: []Stroke{rect(Wide, x0, -3, x1, 3)}}
		for _, x := range studs {
			sym.Strokes = append(sym.Strokes, Stroke{Shape: Disc, Pts: []Point{{x, 0}}, R: 2})
		}
		return sym
	},
	Rating: func(s Spec) string { return amps(s["rating_a"]) },
}

// studPlaces are the studs' places along the bar, two modules apart, the middle
// one (or the one left of the middle) at the centre.
func studPlaces(s Spec) []int {
	n := busStuds(s)
	places := make([]int, n)
	for i := range n {
		places[i] = 2 * Module * (i - (n-1)/2)
	}
	return places
}

func busStuds(s Spec) int {
	if v := s["studs"]; v.Known() {
		return max(1, int(v.Num()))
	}
	return 4
}
