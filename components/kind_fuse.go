package components

import "strings"

// FuseFamilies are the generic families that the tables describe.
var FuseFamilies = []string{"class-t", "class-j-dc", "terminal-block", "anl", "strip-sf51", "strip-sf30",
	"blade-atc", "blade-mini", "blade-maxi", "glass-3ag", "pv-gpv-10x38", "nh-gg-dc"}

// Fuse opens one conductor, once.
var Fuse = Kind{
	ID: "fuse", Title: "Fuse", Prefix: "F", Group: DCDistribution, Role: Protects,
	Help: "Opens one conductor, once, on overcurrent.",
	Fields: []Field{
		req(choice("family", "Family", FuseFamilies...)),
		req(number("rating_a", "Rating", "A", 0.1, 1000)),
		help(number("volts_dc", "DC voltage rating", "V", 1, 1500), "As printed on the fuse. Left empty: the family's."),
		help(number("interrupting_a", "Interrupting rating", "A", 10, 300000), "As printed on the fuse. Left empty: the family's at the bus voltage."),
		def(shapes(choice("pole", "Conductor", "+", "-", "L", "N")), Str("+"), "the positive side"),
	},
	Ports: inlinePorts("line", "load"),
	Joins: func(s Spec) []Join { return through("line", "load", Closable, onePole(s)) },
	Symbol: func(Spec) Symbol {
		return Symbol{Body: body(-15, -6, 15, 6), Strokes: []Stroke{
			rect(Wide, -15, -6, 15, 6), line(Wide, Point{-20, 0}, Point{20, 0}),
		}}
	},
	Rating: func(s Spec) string { return amps(s["rating_a"]) + " " + familyWord(s["family"]) },
}

// familyWord is the family as a fitter writes it on a drawing.
func familyWord(v Value) string {
	switch v.Str() {
	case "class-t":
		return "class T"
	case "class-j-dc":
		return "class J"
	case "blade-atc", "blade-mini", "blade-maxi":
		return "blade"
	case "strip-sf51", "strip-sf30":
		return "strip"
	case "pv-gpv-10x38":
		return "gPV"
	case "nh-gg-dc":
		return "NH gG"
	case "glass-3ag":
		return "glass"
	case "anl":
		return "ANL"
	}
	if !v.Known() {
		return "?"
	}
	return strings.ReplaceAll(v.Str(), "-", " ")
}

func onePole(s Spec) Pole {
	if v := s["pole"]; v.Known() {
		return Pole(v.Str())
	}
	return Pos
}

func inlinePorts(a, b string) func(Spec) []Port {
	return func(s Spec) []Port {
		p := []Pole{onePole(s)}
		return []Port{{Name: a, Poles: p, At: Point{-20, 0}, Side: Left}, {Name: b, Poles: p, At: Point{20, 0}, Side: Right}}
	}
}
