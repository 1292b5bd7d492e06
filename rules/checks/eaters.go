package checks

import (
	"iter"
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// eater is a load, or a charger that runs, at one of its live hots.
type eater struct {
	place int // in the order of the circuit's cuts
	part  int // in the order of the document
}

type eatersKey struct{}

type cutsKey struct{}

// cutsOf tells what each link feeds alone, worked out once for a settled circuit.
func cutsOf(p *rules.Pass) *circuit.Cuts {
	return circuit.Lasting(p.Circuit, cutsKey{}, p.Circuit.Cuts)
}

// eatersBehind are the AC loads, and the chargers that run, which hang on a link
// alone, in tag order: those cut off from every source when it opens.
func eatersBehind(p *rules.Pass, link int) iter.Seq[components.Part] {
	return func(yield func(components.Part) bool) {
		for _, i := range circuit.Lasting(p.Circuit, behindKey(link), func() []int { return eatersAt(p, link) }) {
			if !yield(p.Doc.Parts()[i]) {
				return
			}
		}
	}
}

// behindKey asks for those behind a link.
type behindKey int

// eatersAt are the same by their places in the document.
func eatersAt(p *rules.Pass, link int) []int {
	all := circuit.Lasting(p.Circuit, eatersKey{}, func() []eater { return eaters(p) })
	from, to := cutsOf(p).Behind(link)
	first, _ := slices.BinarySearchFunc(all, from, func(e eater, place int) int { return e.place - place })
	last := first
	for last < len(all) && all[last].place < to {
		last++
	}
	behind := make([]int, 0, last-first)
	for _, e := range all[first:last] {
		behind = append(behind, e.part)
	}
	slices.Sort(behind)
	return slices.Compact(behind)
}

// eaters are in the order of their places.
func eaters(p *rules.Pass) []eater {
	var all []eater
	for i, q := range p.Doc.Parts() {
		port := "in"
		switch {
		case q.Gone():
			continue
		case q.Kind == &components.ACLoad:
		case q.Kind == &components.Charger, q.Kind == &components.InverterCharger && p.Circuit.Positions[q.ID] == circuit.Passing:
			port = "ac-in"
		default:
			continue
		}
		for _, pole := range []components.Pole{components.L, components.L1, components.L2} {
			if t, ok := p.Circuit.At(q.ID, port, pole); ok && p.Circuit.Live(t) {
				if place := cutsOf(p).Place(t); place >= 0 {
					all = append(all, eater{place, i})
				}
			}
		}
	}
	slices.SortFunc(all, func(a, b eater) int { return a.place - b.place })
	return all
}
