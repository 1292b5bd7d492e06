package components

import "fmt"

// DCPanel is a fuse block: a positive bar with a fuse a circuit, and a negative bar.
var DCPanel = Kind{
	ID: "dc-panel", Title: "DC fuse block", Prefix: "DCP", Group: DCDistribution, Role: Distributes,
	Help: "A fuse for each DC circuit, with a negative bar.",
	Fields: []Field{
		req(number("bus_a", "Bus rating", "A", 5, 500)),
		{Key: "circuits", Title: "Circuits", Type: Rows, Shapes: true, Row: []Field{
			req(number("fuse_a", "Fuse", "A", 0.5, 200)), text("label", "Label"),
		}},
	},
	Ports: func(s Spec) []Port {
		circuits := s["circuits"].Rows()
		h := panelHalf(len(circuits))
		dc := []Pole{Pos, Neg}
		ports := []Port{{Name: "feed", Poles: dc, At: Point{-50, -h + 20}, Side: Left,
			Landings: []Landing{{At: Point{-50, -h + 20}, Pole: Pos}, {At: Point{-50, -h + 30}, Pole: Neg}}}}
		for i, c := range circuits {
			ports = append(ports, Port{Name: fmt.Sprintf("c%d", i+1), Title: c["label"].Str(), Poles: dc, At: Point{50, -h + 20 + 20*i}, Side: Right})
		}
		return ports
	},
	Joins: func(s Spec) []Join {
		var joins []Join
		for i := range s["circuits"].Rows() {
			port := fmt.Sprintf("c%d", i+1)
			joins = append(joins, through("feed", port, Closable, Pos)...)
			joins = append(joins, through("feed", port, Fixed, Neg)...)
		}
		return joins
	},
	Symbol: func(s Spec) Symbol {
		circuits := s["circuits"].Rows()
		h := panelHalf(len(circuits))
		bottom := -h + 20*max(len(circuits), 1) + 20
		sym := Symbol{Body: body(-40, -h, 40, bottom), Strokes: []Stroke{rect(Wide, -40, -h, 40, bottom),
			line(Heavy, Point{-18, -h + 12}, Point{-18, bottom - 8}),
			line(Wide, Point{-50, -h + 20}, Point{-18, -h + 20}), line(Thin, Point{-50, -h + 30}, Point{-40, -h + 30})}}
		for i, c := range circuits {
			y := -h + 20 + 20*i
			sym.Strokes = append(sym.Strokes, line(Thin, Point{-18, y}, Point{50, y}), rect(Thin, -8, y-3, 10, y+3), letters(25, y-6, 6, amps(c["fuse_a"])))
		}
		return sym
	},
	Rating: func(s Spec) string { return amps(s["bus_a"]) + " bus" },
}
