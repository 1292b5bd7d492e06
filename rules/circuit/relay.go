package circuit

import (
	"fmt"
	"slices"
	"strings"

	"rigline/components"
)

// relayWants is where a relay of the DC side stands: one that follows the engine is closed
// while that runs, one that senses both sides while a source charges either.
func (c *Circuit) relayWants(p components.Part) Position {
	pulls := c.State.Engine
	if p.Word("closed_by") == components.WhileCharged {
		pulls = c.chargedAt(p)
	}
	if pulls {
		return Closed
	}
	return Open
}

// chargedAt tells whether a source charges one side of a relay at least.
func (c *Circuit) chargedAt(relay components.Part) bool {
	pole := components.Pole(relay.Word("pole"))
	sides := map[Term]bool{}
	for _, port := range []string{"line", "load"} {
		if t, ok := c.At(relay.ID, port, pole); ok {
			sides[c.Net(t)] = true
		}
	}
	for _, q := range c.Doc.Parts() {
		if t, ok := c.At(q.ID, c.chargingAt(q), pole); ok && sides[c.Net(t)] {
			return true
		}
	}
	return false
}

// chargingAt is the port at which a part charges a bank in this state, "" where it does not.
func (c *Circuit) chargingAt(q components.Part) string {
	switch {
	case q.Gone():
	case q.Kind == &components.Alternator && c.State.Engine:
		return "out"
	case q.Kind == &components.DCCharger && c.Charges(q):
		return "out"
	case q.Kind == &components.InverterCharger && c.Positions[q.ID] == Passing:
		if f := q.Figure("charge_a"); !f.Known() || f.Value > 0 { // one that is not told may well charge
			return "dc"
		}
	case q.Kind == &components.Charger && c.hotLive(q, "ac-in"):
		return "dc"
	case q.Kind == &components.SolarController:
		if t, ok := c.At(q.ID, "pv", components.Pos); ok && c.Live(t) {
			return "battery"
		}
	}
	return ""
}

// Relays tells how the relays of the DC side stand, the same for two states in which they
// stand alike, and how many are closed; "" where there are none.
func (c *Circuit) Relays() (stand string, closed int) {
	var each []string
	for id, at := range c.Positions {
		if at == Closed {
			closed++
		}
		if at == Closed || at == Open {
			each = append(each, fmt.Sprintf("%s %s", id, at))
		}
	}
	slices.Sort(each)
	return strings.Join(each, ";"), closed
}
