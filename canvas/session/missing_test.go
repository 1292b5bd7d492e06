package session

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"rigline/components"
	"rigline/rules"
)

// The words of a check lead to the part or run that they name and to the figure
// that nobody has told.
func TestWordsLeadToTheFigure(t *testing.T) {
	b := newBench(t)
	b.place("battery", 200, 600)
	b.place("fuse", 300, 400)
	b.place("inverter-charger", 600, 200)
	b.connect("BAT1.pos", "F1.line")
	for _, c := range []struct {
		at, says string
		id       components.ID
		key      string
	}{
		{"F1", "chemistry, nominal_v, capacity_ah of BAT1 is not known, so its short-circuit current is not: read the battery's label", "BAT1", "chemistry"},
		{"W1", "the length of W1, between BAT1 and F1, is not known: measure along the cable (18 in is the limit)", "W1", "length_ft"},
		{"INV1", "input_limit_a of INV1 is not told, and the site's 30 A breaker feeds it: read the setting", "INV1", "input_limit_a"},
		{"INV1", "the size of the case ground W1 is not known", "W1", "size"},
		{"F1", "the rating of F1 is not known, so W1 cannot be checked: read it off the device", "F1", "rating_a"},
		{"F1", "something else", "F1", ""},
	} {
		id, key := b.Asked(rules.Finding{At: c.at, Message: c.says, Unchecked: true})
		assert.Equal(t, c.id, id, c.says)
		assert.Equal(t, c.key, key, c.says)
	}
}
