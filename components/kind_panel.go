package components

import "fmt"

// Panel is a distribution panel with one or two leg bars, a neutral bar and a
// ground bar, and a breaker a circuit.
var Panel = Kind{
	ID: "panel", Title: "Panel", Prefix: "PNL", Group: ACDistribution, Role: Distributes,
	Help: "A distribution panel: leg bars, a neutral bar, a ground bar and a breaker for each circuit.",
	Fields: []Field{
		req(number("bus_a", "Bus rating", "A", 10, 225)),
		help(number("main_a", "Main breaker", "A", 10, 225), "Left empty: main lugs, no main breaker."),
		help(number("main_trip_ma", "Main trips on a residual current of", "mA", 4, 1000), "Where the main is a residual-current device: 30 mA protects people."),
		def(help(truth("main_opens_neutral", "Main opens the neutral too"), "A two-pole main of line and neutral, as 230 V caravans have."), Yes(false), "the neutral goes past it"),
		def(shapes(count("legs", "Legs", 1, 2)), Num(2), "a two-leg panel"),
		def(help(truth("legs_bridged", "Legs bridged"), "A jumper joins both leg bars."), Yes(false), "no jumper"),
		def(help(truth("neutral_bonded", "Neutral bonded to the enclosure"), "A green screw or strap. In a vehicle's panel it must be out."), Yes(false), "NEC 551.54(C): the neutral floats in the vehicle's panel"),
		def(number("interrupting_a", "Breakers' interrupting rating", "A", 1000, 200000), Num(10000), "common practice, no source: ordinary branch breakers are 10 kA"),
		help(truth("sources_sign", "Sign names the sources"), "Whether a sign at the panel names every source on board."),
		neutralBar(),
		help(truth("single_supply_sign", "Sign: single 120 V supply"), "Whether a sign at a panel with both bars on one 120 V supply says so."),
		help(truth("energy_manager", "Energy manager"), "True where a listed energy management system sheds loads to hold the supply at its rating."),
		{Key: "circuits", Title: "Circuits", Type: Rows, Shapes: true, Row: []Field{
			shapes(choice("leg", "Leg", "L1", "L2", "both")),
			req(number("breaker_a", "Breaker", "A", 1, 100)),
			def(truth("gfci", "Ground-fault protection"), Yes(false), "a plain breaker"),
			help(number("trip_ma", "Residual current", "mA", 4, 1000), "At which it trips; left empty: none."),
			def(truth("opens_neutral", "Opens the neutral too"), Yes(false), "the neutral goes past it"),
			def(help(truth("tied", "Handle tie"), "Opens together with the circuit before it."), Yes(false), "a loose breaker"),
			text("label", "Label"),
		}},
	},
	Ports: func(s Spec) []Port {
		circuits := s["circuits"].Rows()
		h := panelHalf(len(circuits))
		ports := []Port{{Name: "main", Title: "main", Poles: supplyPoles(panelLegs(s) == 2), At: Point{-50, -h + 20}, Side: Left}}
		for i, c := range circuits {
			ports = append(ports, Port{Name: fmt.Sprintf("c%d", i+1), Title: c["label"].Str(), Poles: supplyPoles(c["leg"].Str() == "both"), At: Point{50, -h + 20 + 20*i}, Side: Right})
		}
		return ports
	},
	Joins: func(s Spec) []Join {
		hots := []Pole{L}
		if panelLegs(s) == 2 {
			hots = []Pole{L1, L2}
		}
		// The bars are poles of a port that no run can reach, so that the main breaker stands between it and the lugs.
		joins := append(through("main", "bar", Closable, hots...), through("main", "bar", neutralPast(s["main_opens_neutral"]), N)...)
		joins = append(joins, through("main", "bar", Fixed, G)...)
		if s["legs_bridged"].Truth() && len(hots) == 2 {
			joins = append(joins, Join{APort: "bar", APole: L1, BPort: "bar", BPole: L2, When: Fixed, Via: "leg jumper"})
		}
		if s["neutral_bonded"].Truth() {
			joins = append(joins, Join{APort: "bar", APole: N, BPort: "bar", BPole: G, When: Fixed, Bond: true, Via: "panel bond"})
		}
		for i, c := range s["circuits"].Rows() {
			port := fmt.Sprintf("c%d", i+1)
			joins = append(joins, through("bar", port, neutralPast(c["opens_neutral"]), N)...)
			joins = append(joins, through("bar", port, Fixed, G)...)
			switch leg := Pole(c["leg"].Str()); {
			case leg == "both" && len(hots) == 2:
				joins = append(joins, through("bar", port, Closable, hots...)...)
			case len(hots) == 1:
				joins = append(joins, Join{APort: "bar", APole: L, BPort: port, BPole: L, When: Closable})
			case leg == L2:
				joins = append(joins, Join{APort: "bar", APole: L2, BPort: port, BPole: L, When: Closable})
			default:
				joins = append(joins, Join{APort: "bar", APole: L1, BPort: port, BPole: L, When: Closable})
			}
		}
		return joins
	},
	Symbol: panelSymbol,
	Rating: func(s Spec) string {
		r := amps(s["bus_a"]) + " bus"
		if v := s["main_a"]; v.Known() {
			main := fmt.Sprintf("main %v A", v)
			if trip := s["main_trip_ma"]; trip.Known() {
				main += fmt.Sprintf(" %v mA", trip)
			}
			r = main + ", " + r
		}
		return r
	},
}

// neutralBar is the rating of the neutral bar, mostly that of the leg bars.
func neutralBar() Field {
	f := help(number("neutral_bar_a", "Neutral bar rating", "A", 10, 225), "As marked on the bar. Left empty: as the bus.")
	f.Derive, f.DefaultFrom = func(s Spec) Value { return s["bus_a"] }, "common practice, no source: as the bus"
	return f
}

// neutralPast is the contact of a neutral at a breaker: opened with the hots where
// that is told.
func neutralPast(opens Value) Contact {
	if opens.Truth() {
		return Closable
	}
	return Fixed
}

func panelLegs(s Spec) int {
	if v := s["legs"]; v.Known() {
		return int(v.Num())
	}
	return 2
}

// panelHalf is half the height of a panel of n circuits, a whole number of modules.
func panelHalf(n int) int { return max(20, (20*n+20)/20*10) }

func panelSymbol(s Spec) Symbol {
	circuits := s["circuits"].Rows()
	h := panelHalf(len(circuits))
	bottom := -h + 20*max(len(circuits), 1) + 20
	sym := Symbol{Body: body(-40, -h, 40, bottom), Strokes: []Stroke{rect(Wide, -40, -h, 40, bottom)}}
	add := func(st ...Stroke) { sym.Strokes = append(sym.Strokes, st...) }
	y0 := -h + 20
	add(line(Wide, Point{-50, y0}, Point{-40, y0}))
	bars := []int{-18}
	if panelLegs(s) == 2 {
		bars = []int{-20, -6}
	}
	for i, x := range bars {
		add(line(Heavy, Point{x, -h + 14}, Point{x, bottom - 8}))
		name := "L"
		if len(bars) == 2 {
			name = []string{"L1", "L2"}[i]
		}
		add(letters(x, -h+8, 6, name))
	}
	if s["main_a"].Known() {
		add(line(Thin, Point{-40, y0}, Point{-34, y0}), line(Thin, Point{-24, y0}, Point{-34, y0 - 5}), line(Thin, Point{-24, y0}, Point{bars[len(bars)-1], y0}))
	} else {
		add(line(Thin, Point{-40, y0}, Point{bars[len(bars)-1], y0}))
	}
	for i, c := range circuits {
		y := y0 + 20*i
		from := bars[0]
		if len(bars) == 2 && c["leg"].Str() != "L1" {
			from = bars[1]
		}
		add(line(Thin, Point{from, y}, Point{4, y}), line(Thin, Point{16, y}, Point{5, y - 5}), line(Thin, Point{16, y}, Point{50, y}))
		if len(bars) == 2 {
			if c["leg"].Str() == "both" {
				add(line(Thin, Point{bars[0], y}, Point{bars[1], y}), Stroke{Shape: Disc, Pts: []Point{{bars[0], y}}, R: 2})
			}
			add(Stroke{Shape: Disc, Pts: []Point{{from, y}}, R: 2})
		}
		add(letters(29, y-6, 6, amps(c["breaker_a"])))
	}
	return sym
}
