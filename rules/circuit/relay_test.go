package circuit

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
)

// A relay between two banks is closed by what is told of it, and a switch of which nothing
// is told, or that a hand turns, stands closed.
func TestRelayBetweenTwoBanks(t *testing.T) {
	const rig = `format: rigline/1
title: "relay"
parts:
  - {id: SH1, kind: shore, at: [0, 400], spec: {service: 30a-120}}
  - {id: CHG1, kind: charger, at: [400, 400], spec: {charge_a: 30, dc_v: 12}}
  - {id: ALT1, kind: alternator, at: [0, 200], spec: {rating_a: 100}}
  - {id: BAT1, kind: battery, at: [0, 0], spec: {chemistry: agm, nominal_v: 12, capacity_ah: 80, role: starting}}
  - {id: BAT2, kind: battery, at: [400, 0], spec: {chemistry: agm, nominal_v: 12, capacity_ah: 100}}
  - {id: SW1, kind: dc-switch, at: [200, 0], spec: {rating_a: 100WORD}}
runs:
  - {id: W1, from: ALT1.out, to: BAT1.pos, cores: ["+"]}
  - {id: W2, from: BAT1.pos, to: SW1.line}
  - {id: W3, from: SW1.load, to: BAT2.pos}
  - {id: W4, from: BAT1.neg, to: BAT2.neg}
  - {id: W5, from: CHG1.dc, to: BAT2.pos, cores: ["+"]}
  - {id: W6, from: SH1.out, to: CHG1.ac-in}
`
	states := map[string]components.State{"off grid": {}, "driving": {Engine: true}, "shore": {Shore: "30a-120"}}
	for word, joined := range map[string]map[string]bool{
		"":                       {"off grid": true, "driving": true, "shore": true},
		", closed_by: unknown":   {"off grid": true, "driving": true, "shore": true},
		", closed_by: hand":      {"off grid": true, "driving": true, "shore": true},
		", closed_by: engine":    {"off grid": false, "driving": true, "shore": false},
		", closed_by: charging":  {"off grid": false, "driving": true, "shore": true},
		", closed_by: engine #2": {"off grid": false, "driving": true, "shore": false},
	} {
		text := strings.Replace(rig, "WORD", strings.TrimSuffix(word, " #2"), 1)
		if strings.HasSuffix(word, " #2") { // turned round
			text = strings.NewReplacer("SW1.line", "SW1.load", "SW1.load", "SW1.line").Replace(text)
		}
		doc, _, err := projects.Read("relay.yaml", []byte(text))
		require.NoError(t, err)
		for name, state := range states {
			c := Lay(doc).In(state)
			start, _ := c.At("BAT1", "pos", components.Pos)
			house, _ := c.At("BAT2", "pos", components.Pos)
			assert.Equal(t, joined[name], c.Net(start) == c.Net(house), "%s%s", name, word)
			assert.Empty(t, c.Unsettled)
		}
	}
}

// A relay that the engine closes has a state to close in, though the vehicle is not drawn.
func TestRelayHasAStateToCloseIn(t *testing.T) {
	doc := &components.Document{}
	doc, err := doc.Apply(components.AddPart{Part: components.Part{ID: "SW1", Kind: &components.DCSwitch, Spec: components.Spec{"rating_a": components.Num(100), "closed_by": components.Str(components.WithEngine)}}})
	require.NoError(t, err)
	states := doc.Operating()
	require.Len(t, states, 1)
	assert.True(t, states[0].Engine)
}

// An inverter/charger that has not told what it charges with may well charge: the relay is
// taken as closed, and the banks as joined; one without a charger leaves it open.
func TestWhatIsNotToldMayCharge(t *testing.T) {
	for spec, joined := range map[string]bool{"charge_a: unknown": true, "charge_a: 60": true, "charge_a: 0": false} {
		doc, _, err := projects.Read("relay.yaml", []byte(`format: rigline/1
title: "relay"
parts:
  - {id: SH1, kind: shore, at: [0, 400], spec: {service: 30a-120}}
  - {id: INV1, kind: inverter-charger, at: [400, 400], spec: {continuous_va: 2000, dc_v: 12.8, relay_a: 30, `+spec+`}}
  - {id: BAT1, kind: battery, at: [0, 0], spec: {chemistry: agm, nominal_v: 12, capacity_ah: 80, role: starting}}
  - {id: BAT2, kind: battery, at: [400, 0], spec: {chemistry: agm, nominal_v: 12, capacity_ah: 100}}
  - {id: SW1, kind: dc-switch, at: [200, 0], spec: {rating_a: 100, closed_by: charging}}
runs:
  - {id: W2, from: BAT1.pos, to: SW1.line}
  - {id: W3, from: SW1.load, to: BAT2.pos}
  - {id: W4, from: BAT1.neg, to: BAT2.neg}
  - {id: W5, from: INV1.dc, to: BAT2.pos, cores: ["+"]}
  - {id: W7, from: INV1.dc, to: BAT2.neg, cores: ["-"]}
  - {id: W6, from: SH1.out, to: INV1.ac-in}
`))
		require.NoError(t, err)
		c := Lay(doc).In(components.State{Shore: "30a-120"})
		start, _ := c.At("BAT1", "pos", components.Pos)
		house, _ := c.At("BAT2", "pos", components.Pos)
		assert.Equal(t, joined, c.Net(start) == c.Net(house), spec)
	}
}
