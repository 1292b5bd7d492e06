package components

import "fmt"

// Battery is a bank, or one battery of it: series blocks in a string, strings in
// parallel. The nominal voltage and the capacity are those of one block.
var Battery = Kind{
	ID: "battery", Title: "Battery", Prefix: "BAT", Group: Storage, Role: Stores,
	Help: "A battery, or a bank of equal ones.",
	Fields: []Field{
		req(choice("chemistry", "Chemistry", "lfp", "agm", "gel", "flooded")),
		req(number("nominal_v", "Nominal voltage of a block", "V", 2, 60)),
		req(number("capacity_ah", "Capacity of a block", "Ah", 1, 2000)),
		def(count("series", "Blocks in series", 1, 8), Num(1), "one block"),
		def(count("parallel", "Strings in parallel", 1, 16), Num(1), "one string"),
		help(number("internal_mohm", "Internal resistance of a block", "mΩ", 0.05, 200), "Cell level, without the management system's switch. Left empty: by chemistry and capacity."),
		help(number("discharge_a", "Discharge limit of a block", "A", 1, 2000), "Continuous limit of the management system."),
		number("charge_a", "Charge limit of a block", "A", 1, 2000),
		number("min_charge_c", "Lowest charging temperature", "°C", -40, 30),
		help(number("surge_a", "Pulse limit of a block", "A", 1, 5000), "What the management system gives for some seconds."),
		help(number("surge_s", "Pulse time of a block", "s", 0.1, 120), "For how long it gives the pulse limit."),
		help(number("coldest_c", "Coldest in use", "°C", -40, 40), "Of the bank itself. A cold lead bank gives less."),
		help(truth("cold_cutoff", "Stops its charging when too cold"), "Its management system opens the charging path below the lowest charging temperature, and its manual says so."),
		help(truth("heated", "Heated before it charges"), "A heater warms the cells before any charge current flows."),
		help(number("cca_a", "Cold-cranking current", "A", 50, 3000), "On the label of a lead-acid battery."),
		help(number("series_max", "Most blocks in series", "", 1, 8), "As the maker allows, since its protection stands only so many volts."),
		space(),
		help(number("fault_a", "Declared short-circuit current of a block", "A", 10, 100000), "Cell level, as the maker declares it."),
		help(number("string_fuse_a", "Fuse on each string", "A", 1, 1000), "Where the symbol stands for several strings: the fuse on every positive post."),
		help(number("trip_v", "Low trip of a block", "V", 2, 60), "Where its protection opens."),
		help(number("usable_dod", "Usable share of the capacity", "", 0.1, 1), "Left empty: 0.8 for lithium, 0.5 for lead."),
		help(number("autonomy_days", "Days wanted without charge", "d", 0, 30), "How long the bank alone has to carry the ordinary day's loads."),
		help(number("runtime_h", "Hours wanted with everything on", "h", 0, 72), "How long the bank alone has to carry the loads that run off grid."),
		help(number("recharge_h", "Hours wanted to recharge", "h", 0, 72), "How long a generator, site supply or drive may take to fill the bank."),
		def(choice("role", "Role", "house", "starting"), Str("house"), "a house bank"),
	},
	Ports: func(Spec) []Port {
		return []Port{
			{Name: "pos", Title: "positive post", Poles: []Pole{Pos}, At: Point{-20, -30}, Side: Top},
			{Name: "neg", Title: "negative post", Poles: []Pole{Neg}, At: Point{20, -30}, Side: Top},
		}
	},
	Joins: func(Spec) []Join { return nil },
	Symbol: func(Spec) Symbol {
		return Symbol{Body: body(-30, -20, 30, 20), Strokes: []Stroke{
			line(Wide, Point{-20, -30}, Point{-20, 0}, Point{-12, 0}), line(Wide, Point{20, -30}, Point{20, 0}, Point{12, 0}),
			line(Wide, Point{-12, -16}, Point{-12, 16}), line(Heavy, Point{-4, -8}, Point{-4, 8}), line(Wide, Point{4, -16}, Point{4, 16}), line(Heavy, Point{12, -8}, Point{12, 8}),
			letters(-26, -12, 8, "+"), letters(27, -12, 8, "−"),
		}}
	},
	Rating: func(s Spec) string {
		n := ""
		if p, q := s["parallel"], s["series"]; p.Num() > 1 || q.Num() > 1 {
			n = fmt.Sprintf("%vS%vP ", max(1, int(q.Num())), max(1, int(p.Num())))
		}
		ah := "? Ah"
		if s["capacity_ah"].Known() {
			ah = s["capacity_ah"].String() + " Ah"
		}
		return fmt.Sprintf("%s%s %s %s", n, chemistryWord(s["chemistry"]), volts(s["nominal_v"]), ah)
	},
}

func chemistryWord(v Value) string {
	switch v.Str() {
	case "lfp":
		return "LFP"
	case "agm":
		return "AGM"
	}
	if !v.Known() {
		return "?"
	}
	return v.Str()
}

// coldCutoff is whether a charge source itself keeps a cold lithium bank safe.
func coldCutoff() Field {
	return help(truth("cold_cutoff", "Stops charging a cold bank"), "It reads the bank's temperature by a sensor of its own, or takes the bank's stop signal, and does not charge below freezing.")
}
