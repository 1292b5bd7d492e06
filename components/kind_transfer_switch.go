package components

import (
	"fmt"
	"slices"
)

// TransferSwitch takes one of two supplies. Poles not listed in switches run
// straight through, the ground always.
var TransferSwitch = Kind{
	ID: "transfer-switch", Title: "Transfer switch", Prefix: "TS", Group: ACDistribution, Role: Switches,
	Help: "Chooses between two supplies, so that they can never meet.",
	Fields: []Field{
		req(number("rating_a", "Rating per pole", "A", 10, 100)),
		def(shapes(Field{Key: "switches", Title: "Poles switched", Type: List, Choices: []string{"L1", "L2", "L", "N"},
			Help: "A neutral that is not switched joins the neutrals of both supplies."}), Words("L1", "L2", "N"), "common practice, no source"),
		def(choice("prefers", "Prefers", "a", "b"), Str("a"), "common practice, no source"),
		def(truth("manual", "Turned by hand"), Yes(false), "common practice, no source"),
	},
	Ports: func(s Spec) []Port {
		p := transferPoles(s)
		return []Port{{Name: "a", Title: "supply a", Poles: p, At: Point{-30, -20}, Side: Left}, {Name: "b", Title: "supply b", Poles: p, At: Point{-30, 20}, Side: Left},
			{Name: "out", Title: "to the rig", Poles: p, At: Point{30, 0}, Side: Right}}
	},
	Joins: func(s Spec) []Join {
		var joins []Join
		switched := switchedPoles(s)
		for _, p := range transferPoles(s) {
			if slices.Contains(switched, p) {
				joins = append(joins, through("a", "out", OnA, p)...)
				joins = append(joins, through("b", "out", OnB, p)...)
				continue
			}
			joins = append(joins, through("a", "out", Fixed, p)...)
			joins = append(joins, through("b", "out", Fixed, p)...)
		}
		return joins
	},
	Symbol: func(Spec) Symbol {
		return Symbol{Body: body(-20, -30, 20, 30), Strokes: []Stroke{
			rect(Thin, -20, -30, 20, 30),
			line(Wide, Point{-30, -20}, Point{-12, -20}), line(Wide, Point{-30, 20}, Point{-12, 20}), line(Wide, Point{10, 0}, Point{30, 0}),
			{Shape: Disc, Pts: []Point{{-12, -20}}, R: 2}, {Shape: Disc, Pts: []Point{{-12, 20}}, R: 2}, {Shape: Disc, Pts: []Point{{10, 0}}, R: 2},
			line(Wide, Point{10, 0}, Point{-10, -18}),
		}}
	},
	Rating: func(s Spec) string {
		n := len(switchedPoles(s))
		neutral := "N solid"
		if slices.Contains(switchedPoles(s), N) {
			neutral = "N switched"
		}
		return fmt.Sprintf("%s, %d-pole, %s", amps(s["rating_a"]), n, neutral)
	},
}

// switchedPoles are the poles that the switch moves.
func switchedPoles(s Spec) []Pole {
	words := []string{"L1", "L2", "N"}
	if v := s["switches"]; v.Known() {
		words = v.Words()
	}
	poles := make([]Pole, len(words))
	for i, w := range words {
		poles[i] = Pole(w)
	}
	return poles
}

func transferPoles(s Spec) []Pole {
	switched := switchedPoles(s)
	return supplyPoles(slices.Contains(switched, L1) || slices.Contains(switched, L2))
}
