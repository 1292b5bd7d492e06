package cards

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/lists"
	"rigline/projects"
	"rigline/rules/circuit"
	"rigline/rules/solve"
)

// A 30 A trailer whose cards were worked out on paper. The site's 80 % are 24, 16
// and 12 A. On one leg hang the air conditioner (1500 VA, 12.5 A), the heater (1400
// VA, 11.7 A) and the lamp (100 VA, 0.8 A, small at any supply).
const trailer = `format: rigline/1
title: Two big loads
parts:
  - {id: SH1, kind: shore, at: [100, 100], spec: {service: 30a-120}}
  - id: PNL1
    kind: panel
    at: [400, 100]
    spec:
      bus_a: 60
      main_a: 30
      legs: 1
      circuits: [{leg: L1, breaker_a: 20}, {leg: L1, breaker_a: 20}, {leg: L1, breaker_a: 15}]
  - {id: LD1, kind: ac-load, name: Cooler, at: [700, 100], spec: {va: 1500, start_va: 5000}}
  - {id: LD2, kind: ac-load, name: Heater, at: [700, 200], spec: {va: 1400}}
  - {id: LD3, kind: ac-load, name: Lamp, at: [700, 300], spec: {va: 100}}
runs:
  - {id: W1, from: SH1.out, to: PNL1.main, size: 10 AWG, cable: cord-soow, length_ft: 10}
  - {id: W2, from: PNL1.c1, to: LD1.in, size: 12 AWG, cable: nm-b, length_ft: 10}
  - {id: W3, from: PNL1.c2, to: LD2.in, size: 12 AWG, cable: nm-b, length_ft: 10}
  - {id: W4, from: PNL1.c3, to: LD3.in, size: 14 AWG, cable: nm-b, length_ft: 10}
`

// settingsOf are a card's settings in amperes; what it turns off is none.
func settingsOf(c Card) map[components.ID]float64 {
	set := map[components.ID]float64{}
	for _, s := range c.Set {
		var a float64
		if _, err := fmt.Sscanf(s.Value, "%g A", &a); err != nil {
			a = 0
		}
		set[s.Device] = a
	}
	return set
}

// everyRig are the samples and the topologies by name.
func everyRig(t *testing.T) map[string]*components.Document {
	t.Helper()
	docs := map[string]*components.Document{}
	for _, s := range projects.Samples() {
		docs[s.Name] = s.Document()
	}
	files, err := filepath.Glob("../../testdata/topologies/*.yaml")
	require.NoError(t, err)
	for _, f := range files {
		data, err := os.ReadFile(f)
		require.NoError(t, err)
		docs[filepath.Base(f)] = read(t, string(data))
	}
	return docs
}

func read(t *testing.T, text string) *components.Document {
	t.Helper()
	doc, _, err := projects.Read("rig.yaml", []byte(text))
	require.NoError(t, err)
	return doc
}

func chosen(all []Choice) []string {
	var lines []string
	for _, c := range all {
		var names []string
		for _, l := range c.Loads {
			names = append(names, l.Name)
		}
		lines = append(lines, strings.Join(names, "+"))
	}
	return lines
}

func TestOneAtATime(t *testing.T) {
	all := Of(read(t, trailer))
	require.Len(t, all, 3)
	for i, want := range []struct {
		title    string
		held     float64
		choices  []string
		tooBig   int
		together bool
	}{
		// 12.5 + 11.7 + 0.8 = 25.0 A is above 24 A: one of the two.
		{"30 A site", 24, []string{"Cooler", "Heater"}, 0, false},
		{"20 A site, through an adapter", 16, []string{"Cooler", "Heater"}, 0, false},
		// 12.5 A is above 12 A; 11.7 + 0.8 = 12.5 A too, so the heater is only
		// allowed where the lamp is none of the small loads: it is (0.8 A is under a
		// tenth of 12 A), and both are too big.
		{"15 A site, through an adapter", 12, nil, 2, false},
	} {
		c := all[i]
		assert.Equal(t, want.title, c.Title)
		assert.Empty(t, c.Failure)
		require.Len(t, c.Limits, 1)
		assert.InDelta(t, want.held, c.Limits[0].Amps, 1e-9)
		assert.Equal(t, want.choices, chosen(c.Choices), c.Title)
		assert.Len(t, c.TooBig, want.tooBig, c.Title)
		assert.Equal(t, want.together, c.All)
		assert.Len(t, c.Always, 1)
		assert.Len(t, c.Starts, 1)
	}
	// The cooler and the lamp at the far end of 20 ft: 1600 VA over 119.6 V.
	assert.InDelta(t, 13.4, all[0].Choices[0].Amps[0], 0.1)
}

// Heating and cooling that are interlocked stand on two lines, however much the supply
// gives.
func TestInterlockedLoadsStandApart(t *testing.T) {
	text := strings.Replace(strings.Replace(trailer, "va: 1500, start_va: 5000", "va: 500, never_with: heat or cool", 1), "va: 1400", "va: 600, never_with: heat or cool", 1)
	c := Of(read(t, text))[0]
	require.Empty(t, c.Failure)
	assert.False(t, c.All)
	assert.ElementsMatch(t, []string{"Cooler", "Heater"}, chosen(c.Choices), "%s", c)
}

// What every card of every sample allows stays within the limits that it states.
func TestChoicesHold(t *testing.T) {
	docs := map[string]*components.Document{}
	for _, s := range projects.Samples() {
		docs[s.Name] = s.Document()
		for _, c := range Of(s.Document()) {
			assert.Empty(t, c.Failure, "%s %s", s.Name, c.Title)
		}
	}
	for _, s := range append(projects.BrokenSamples(), projects.Starts()...) {
		docs["not sound: "+s.Name] = s.Document()
	}
	files, err := filepath.Glob("../../testdata/topologies/*.yaml")
	require.NoError(t, err)
	for _, f := range files {
		data, err := os.ReadFile(f)
		require.NoError(t, err)
		docs[f] = read(t, string(data))
	}
	count := 0
	for name, doc := range docs {
		for _, c := range Of(doc) {
			everyLoadIsToldOf(t, name, doc, c)
			for _, ch := range c.Choices {
				count++
				require.Len(t, ch.Amps, len(c.Limits))
				for k, a := range ch.Amps {
					assert.LessOrEqual(t, a, c.Limits[k].Amps*1.000001, "%s %s", name, c.Title)
				}
				// Solved anew with nothing but the choice and the small loads on, charging
				// aside, no source gives more than its card says.
				again(t, doc, c, append(append([]Load{}, c.Always...), ch.Loads...))
			}
		}
	}
	assert.Greater(t, count, 100)
}

// again solves a choice in another way than the card did: as a state of the
// project's own, from the file, with the inverters' charging off.
func again(t *testing.T, doc *components.Document, c Card, loads []Load) {
	t.Helper()
	st := c.State
	st.Name = "again"
	on := map[components.ID]bool{}
	for _, l := range loads {
		on[l.ID] = true
	}
	st.Off, st.On = nil, nil
	var edits []components.Edit
	for _, p := range doc.Parts() {
		if (p.Kind == &components.ACLoad || p.Kind == &components.Charger) && !on[p.ID] {
			st.Off = append(st.Off, p.ID)
		}
		if p.Kind == &components.InverterCharger {
			edits = append(edits, components.Set{On: p.ID, Key: "charge_a", Value: components.Num(0)})
		}
	}
	next, err := doc.Apply(append(edits, components.SetStates{States: []components.State{st}})...)
	require.NoError(t, err)
	back, _, err := projects.Read("again.yaml", projects.Write(next))
	require.NoError(t, err)
	circ := circuit.Build(back, back.Operating()[0])
	s := solve.Solve(circ)
	require.Nil(t, s.Failure, c.Title)
	for _, l := range c.Limits {
		id, pole, _ := strings.Cut(l.Hot, " ")
		for i, link := range circ.Links {
			r, isRun := back.Run(link.Run)
			if !isRun || link.Core.From != components.Pole(pole) || r.From.Part != components.ID(id) || c.Kind == OffGrid {
				continue
			}
			amps, ok := s.Amps(i)
			require.True(t, ok)
			assert.LessOrEqual(t, amps, l.Amps*1.001, "%s: %s", c.Title, l.Hot)
		}
	}
}

func TestTextIsTheSameEachTime(t *testing.T) {
	doc := projects.Samples()[0].Document()
	write := func() string {
		var b bytes.Buffer
		require.NoError(t, Text(&b, Of(doc), lists.About{Title: "x"}))
		return b.String()
	}
	first := write()
	for range 5 {
		require.Equal(t, first, write())
	}
}

// everyLoadIsToldOf holds a card to naming every connected load: on, in a choice, too
// big, or off.
func everyLoadIsToldOf(t *testing.T, name string, doc *components.Document, c Card) {
	t.Helper()
	if c.Failure != "" || len(c.Unknown) > 0 {
		return // it says that it is no card
	}
	told := map[components.ID]bool{}
	for _, all := range [][]Load{c.Always, c.TooBig, c.Off} {
		for _, l := range all {
			told[l.ID] = true
		}
	}
	for _, ch := range c.Choices {
		for _, l := range ch.Loads {
			told[l.ID] = true
		}
	}
	for _, l := range c.Budget.Loads {
		told[l.ID] = true
	}
	for _, p := range doc.Parts() {
		if p.Kind == &components.ACLoad && !p.Gone() && len(doc.RunsOf(p.ID)) > 0 {
			assert.True(t, told[p.ID], "%s, %s: %s stands nowhere on the card", name, c.Title, p.ID)
		}
	}
}

// Of several states for one supply a card leaves off what none of them has on, and finds
// by their amperes what may run together.
func TestStatesOfOneSupplyAreTakenTogether(t *testing.T) {
	states := "states:\n  - {name: Shore, shore: 30a-120, off: [LD2, LD3]}\n  - {name: \"Shore, warm\", shore: 30a-120, on: [LD2]}\n"
	c := Of(read(t, trailer+states))[0]
	assert.Equal(t, []string{"Cooler", "Heater"}, chosen(c.Choices))
	require.Len(t, c.Off, 1)
	assert.Equal(t, "Lamp", c.Off[0].Name)
	assert.Equal(t, "off on this supply, by the project", c.Off[0].Why)
}

// A card that allows more than the limit which the drawing tells says which of the two the
// check went by.
func TestALimitBeyondTheDrawnOneIsSaid(t *testing.T) {
	bus, ok := projects.FindSample("workshop-bus")
	require.True(t, ok)
	said := map[string]string{}
	for _, c := range Of(bus.Document()) {
		for _, s := range c.Set {
			if s.What == "input current limit" {
				said[c.Title+" "+s.Value] = s.Why
			}
		}
	}
	assert.Contains(t, said["50 A site 40 A"], "The drawing tells 24 A, and its check goes by that")
	assert.NotContains(t, said["30 A site, through an adapter 18 A"], "The drawing tells")
}
