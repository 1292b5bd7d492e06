package cards

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/solved"
	"rigline/rules/circuit"
)

// What a card does not allow does not hold: every set of loads that holds by its plates
// and with the card's settings is within one of its choices.
func TestChoicesAreAllThatHold(t *testing.T) {
	sets := 0
	for name, doc := range everyRig(t) {
		for _, c := range Of(doc) {
			var loads []Load
			for _, ch := range c.Choices {
				for _, l := range ch.Loads {
					if !slices.ContainsFunc(loads, func(o Load) bool { return o.ID == l.ID }) {
						loads = append(loads, l)
					}
				}
			}
			if c.Failure != "" || len(c.Unknown) > 0 || c.All || c.Kind == OffGrid || len(loads) > 6 || len(c.Choices) >= mostChoices {
				continue
			}
			limit := settingsOf(c)
			charging, err := limited(doc, limit)
			require.NoError(t, err)
			laid := circuit.Lay(charging)
			scratch := Card{Kind: c.Kind, State: c.State, Breaker: c.Breaker}
			lines := scratch.limits(solved.One(laid, switched(charging, c.State, nil)))
			for mask := range 1 << len(loads) {
				var ids []components.ID
				for i, l := range loads {
					if mask>>i&1 == 1 {
						ids = append(ids, l.ID)
					}
				}
				told := slices.ContainsFunc(c.Choices, func(ch Choice) bool {
					return !slices.ContainsFunc(ids, func(id components.ID) bool {
						return !slices.ContainsFunc(ch.Loads, func(l Load) bool { return l.ID == id })
					})
				})
				rated := 0.0 // a card goes by the plates first: what they forbid it does not try
				for i, l := range loads {
					if mask>>i&1 == 1 {
						rated += l.VA / c.Mains
					}
				}
				for _, l := range c.Always {
					rated += l.VA / c.Mains
				}
				if told || len(lines) == 1 && rated > lines[0].Amps {
					continue
				}
				sets++
				on := slices.Clone(ids)
				for _, l := range c.Always {
					on = append(on, l.ID)
				}
				_, ok := c.fits(solved.One(laid, switched(charging, c.State, on)), lines)
				assert.False(t, ok, "%s, %s: %s holds and stands on no line", name, c.Title, strings.Join(words(ids), " + "))
			}
		}
	}
	assert.Greater(t, sets, 10)
}

func words(ids []components.ID) []string {
	all := make([]string, len(ids))
	for i, id := range ids {
		all[i] = string(id)
	}
	return all
}
