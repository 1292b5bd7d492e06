package bom

import (
	"slices"

	"rigline/components"
)

// Fit is how another fuse goes into the holder of one that comes out.
type Fit int

// A holder stays where the new fuse has the old one's body and draws no more through
// it, or where the holder is made for every fuse of that body. Where only its own
// rating decides, it may stay.
const (
	Another Fit = iota
	MayStay
	Stays
)

// bodies are the largest ratings of the bodies that fuses of a family come in, each
// with a holder of its own, rated for the largest (UL 248-8 and 248-15, from memory).
var bodies = map[string][]float64{
	"class-t":    {30, 60, 100, 200, 400, 600, 800, 1200},
	"class-j-dc": {30, 60, 100, 200, 400, 600},
}

// Refused tells whether a fuse goes into the holder of another.
func Refused(was, is components.Part) Fit {
	if was.Kind != &components.Fuse || is.Kind != was.Kind || was.Word("family") == "" || was.Word("family") != is.Word("family") {
		return Another
	}
	old, now := was.Figure("rating_a"), is.Figure("rating_a")
	if !old.Known() || !now.Known() {
		return MayStay
	}
	if sizes, ok := bodies[is.Word("family")]; ok {
		step := func(a float64) int { n, _ := slices.BinarySearch(sizes, a); return n }
		if step(old.Value) != step(now.Value) {
			return Another
		}
		return Stays
	}
	switch {
	case is.Word("family") == "nh-gg-dc": // its sizes overlap
		return MayStay
	case now.Value <= old.Value, is.Word("family") == "terminal-block":
		return Stays
	}
	return MayStay
}

// HolderStays takes the holder of a fuse off a list, or says on it that it may stay,
// and says the same of the fuse that comes out.
func HolderStays(rows []Row, fuse components.Part, fit Fit) []Row {
	if fit == Another {
		return rows
	}
	var out []Row
	for _, r := range rows {
		mine := slices.Contains(r.For, fuse.ID)
		bought := r.Section == Protection && r.Description == holderOf(fuse)
		comes := r.Section == Out && r.Note == goesWithHolder
		if !mine || !bought && !comes {
			out = append(out, r)
			continue
		}
		own := r
		own.Quantity, own.For = 1, []components.ID{fuse.ID}
		r.Quantity--
		r.For = slices.DeleteFunc(slices.Clone(r.For), func(id components.ID) bool { return id == fuse.ID })
		if r.Quantity > 0 {
			out = append(out, r)
		}
		switch {
		case bought && fit == MayStay:
			own.Note = "only where the one that is there is rated for less"
			out = append(out, own)
		case comes && fit == Stays:
			own.Note = "its holder stays"
			out = append(out, own)
		case comes:
			out = append(out, own)
		}
	}
	return out
}
