package projects

import "strings"

// Position is a place in a file; both count from 1, Col in characters.
type Position struct{ Line, Col int }

// Index tells where in the file an address was written. It belongs to the bytes
// that were read and goes stale with the first edit.
//
// The addresses are those of findings: a tag ("BAT1"), a field of it
// ("BAT1.spec.rating_a", "W1.size"), a circuit of a panel ("PNL.c3"), a word of
// the project ("title"), and the n-th entry of a list ("states.1", "notes.1",
// "accepted.1").
type Index struct{ at map[string]Position }

// Find gives the place of an address, or of the nearest thing around it that the
// file holds: a figure left to its default is found at its part. It gives false
// where the file holds no such thing.
func (x *Index) Find(address string) (Position, bool) {
	if x == nil {
		return Position{}, false
	}
	for {
		if at, ok := x.at[address]; ok {
			return at, true
		}
		i := strings.LastIndexByte(address, '.')
		if i < 0 {
			return Position{}, false
		}
		address = address[:i]
	}
}

func (x *Index) put(address string, line, col int) {
	if _, taken := x.at[address]; !taken {
		x.at[address] = Position{line, col}
	}
}
