package components

// Services are the supplies that a site offers, by the word of the file.
var Services = []string{"50a-120/240", "50a-120/208", "30a-120", "20a-120", "15a-120", "16a-230"}

// Adapters are the smaller supplies taken into a three-wire inlet through an
// adapter that bridges the legs (common practice, no source).
var Adapters = []string{"30a-120-adapter", "20a-120-adapter", "15a-120-adapter"}

// SiteBond is the way by which neutral meets ground at a site.
const SiteBond = "site bond"

// ServiceAmps is the rating of a service or adapter per hot, in amperes.
func ServiceAmps(service string) float64 {
	switch service[:min(3, len(service))] {
	case "50a":
		return 50
	case "30a":
		return 30
	case "20a":
		return 20
	case "15a":
		return 15
	case "16a":
		return 16
	}
	return 0
}

// ThreeWire tells whether a service has two hots.
func ThreeWire(service string) bool { return service == "50a-120/240" || service == "50a-120/208" }

// Shore is the site's outlet with the cord plugged into it. Its neutral is
// bonded to ground at the site (NEC 250.24), and only counts while plugged in.
var Shore = Kind{
	ID: "shore", Title: "Site supply", Prefix: "SH", Group: ACSupply, Role: Supplies,
	Help: "The outlet at the site that the rig's cord is plugged into.",
	Fields: []Field{
		req(shapes(choice("service", "Service", Services...))),
		help(def(number("available_fault_a", "Available fault current", "A", 100, 100000), Num(5000), "common practice, no source: a small site transformer"),
			"The largest current a short at the outlet could draw."),
		help(number("hours_per_day", "Hours a day plugged in", "h", 0, 24), "Left empty: a day off grid."),
		siteGFCI(),
	},
	Ports: func(s Spec) []Port {
		return []Port{{Name: "out", Title: "outlet", Poles: supplyPoles(ThreeWire(s["service"].Str())), At: Point{30, 0}, Side: Right}}
	},
	Joins: func(s Spec) []Join {
		return []Join{{APort: "out", APole: N, BPort: "out", BPole: G, When: PluggedIn, Bond: true, Via: SiteBond}}
	},
	Symbol: func(Spec) Symbol {
		return Symbol{Body: body(-20, -20, 20, 20), Strokes: []Stroke{
			{Shape: Arc, Pts: []Point{{0, 0}}, R: 20, From: 90, To: 270, Weight: Wide},
			line(Wide, Point{0, -20}, Point{0, 20}), line(Wide, Point{0, 0}, Point{30, 0}),
			line(Thin, Point{-12, -6}, Point{-4, -6}), line(Thin, Point{-12, 6}, Point{-4, 6}),
		}}
	},
	Rating: func(s Spec) string {
		switch s["service"].Str() {
		case "50a-120/240":
			return "50 A 120/240 V"
		case "50a-120/208":
			return "50 A 120/208 V"
		case "30a-120":
			return "30 A 120 V"
		case "20a-120":
			return "20 A 120 V"
		case "15a-120":
			return "15 A 120 V"
		case "16a-230":
			return "16 A 230 V"
		}
		return ""
	},
}

// siteGFCI is whether the site's outlet has ground-fault protection: as the code asks for
// it by the outlet's rating, unless it is told.
func siteGFCI() Field {
	f := def(truth("gfci", "Ground-fault protected outlet"), Yes(false), "NEC 551.71(F): 15 and 20 A site outlets have it, 30 and 50 A ones need none")
	f.Derive = func(s Spec) Value {
		switch service := s["service"].Str(); service {
		case "15a-120", "20a-120":
			return Yes(true)
		}
		return Value{}
	}
	return f
}

// supplyPoles are the poles of a three-wire or a two-wire AC port, ground with them.
func supplyPoles(threeWire bool) []Pole {
	if threeWire {
		return []Pole{L1, L2, N, G}
	}
	return []Pole{L, N, G}
}
