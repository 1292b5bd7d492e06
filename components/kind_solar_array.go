package components

import "fmt"

// SolarArray is modules in series strings, strings in parallel.
var SolarArray = Kind{
	ID: "solar-array", Title: "Solar array", Prefix: "PV", Group: ChargeSources, Role: Supplies,
	Help: "Modules in series, strings in parallel.",
	Fields: []Field{
		req(count("series", "Modules in series", 1, 24)),
		req(count("parallel", "Strings in parallel", 1, 24)),
		req(number("voc_v", "Module open-circuit voltage", "V", 1, 200)),
		req(number("isc_a", "Module short-circuit current", "A", 0.1, 30)),
		req(number("vmp_v", "Module voltage at full power", "V", 1, 200)),
		req(number("imp_a", "Module current at full power", "A", 0.1, 30)),
		number("voc_pct_per_c", "Voc temperature coefficient", "%/°C", -1, 0),
		def(number("vmp_pct_per_c", "Vmp temperature coefficient", "%/°C", -1, 0), Num(-0.40), "common practice, no source"),
		number("coldest_c", "Coldest morning", "°C", -50, 25),
		help(number("sun_hours", "Full-sun hours a day", "h", 0, 12), "In the month that counts: about 4.5 in summer and 1.8 in winter on a flat roof at middle latitudes. A solar map tells it for a place."),
		def(help(number("yield", "Share of its rating that reaches the bank", "", 0.1, 1), "Heat, dust, tilt, wiring and the controller."), Num(0.70), "common practice, no source"),
		help(number("max_fuse_a", "Largest series fuse", "A", 1, 60), "Printed on the module's label."),
		help(number("string_fuse_a", "Fuse on each string", "A", 1, 60), "Where the symbol stands for several strings: the fuse on every one, in the combiner."),
	},
	Ports: func(Spec) []Port {
		return []Port{{Name: "out", Poles: []Pole{Pos, Neg}, At: Point{30, 0}, Side: Right,
			Landings: []Landing{{At: Point{30, 0}, Pole: Pos}, {At: Point{30, 10}, Pole: Neg}}}}
	},
	Joins: func(Spec) []Join { return nil },
	Symbol: func(Spec) Symbol {
		return Symbol{Body: body(-30, -34, 20, 20), Strokes: []Stroke{
			rect(Wide, -30, -20, 20, 20), line(Thin, Point{-30, -20}, Point{-5, 0}, Point{-30, 20}),
			line(Thin, Point{-30, -34}, Point{-20, -24}), line(Thin, Point{-20, -34}, Point{-10, -24}),
			{Shape: Filled, Pts: []Point{{-19, -23}, {-21, -28}, {-24, -25}}}, {Shape: Filled, Pts: []Point{{-9, -23}, {-11, -28}, {-14, -25}}},
			line(Wide, Point{20, 0}, Point{30, 0}), line(Wide, Point{20, 10}, Point{30, 10}),
		}}
	},
	Rating: func(s Spec) string {
		for _, key := range []string{"series", "parallel", "vmp_v", "imp_a"} {
			if !s[key].Known() { // a nought would be a figure that nobody gave
				return fmt.Sprintf("%sS%sP, ? W", orUnknown(s["series"]), orUnknown(s["parallel"]))
			}
		}
		w := s["series"].Num() * s["parallel"].Num() * s["vmp_v"].Num() * s["imp_a"].Num()
		return fmt.Sprintf("%vS%vP, %s", s["series"], s["parallel"], kilo(Num(w), "W"))
	},
}

// orUnknown prints a figure, or a question mark.
func orUnknown(v Value) string {
	if !v.Known() {
		return "?"
	}
	return v.String()
}
