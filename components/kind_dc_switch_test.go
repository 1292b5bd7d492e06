package components

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Who buys from the list and who reads the sheet see which switch is a relay, and what
// closes it.
func TestRelayIsRatedAsOne(t *testing.T) {
	for _, c := range []struct {
		closedBy Value
		rated    string
		contact  Contact
	}{
		{Value{}, "100 A", Closable},
		{Unknown, "100 A", Closable},
		{Str(ByHand), "100 A", Closable},
		{Str(WithEngine), "100 A relay, by the engine", PulledIn},
		{Str(WhileCharged), "100 A relay, by a charge", PulledIn},
	} {
		spec := Spec{"rating_a": Num(100), "closed_by": c.closedBy}
		assert.Equal(t, c.rated, DCSwitch.Rating(spec))
		assert.Equal(t, c.contact, DCSwitch.Joins(spec)[0].When, "%v", c.closedBy)
	}
}
