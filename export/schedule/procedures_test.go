package schedule

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/solved"
	"rigline/projects"
)

// Every source of every sample is opened, what comes from outside first and the sun
// before the battery that its controller lives on (common practice, no source).
func TestIsolationOpensEverySource(t *testing.T) {
	for _, sample := range projects.Samples() {
		rig := solved.Of(sample.Document())
		steps := Isolation(rig)
		at := func(id components.ID) int {
			return slices.IndexFunc(steps, func(s Step) bool { return strings.Contains(s.Do, string(id)+" (") })
		}
		locked := slices.IndexFunc(steps, func(s Step) bool { return strings.HasPrefix(s.Do, "Lock or tag") })
		require.Positive(t, locked, sample.Name)
		sun, bank := -1, -1
		for _, p := range rig.Doc.Parts() {
			if p.Gone() {
				continue
			}
			switch p.Kind {
			case &components.Inlet, &components.Generator, &components.Alternator, &components.SolarArray, &components.Battery, &components.Inverter, &components.InverterCharger:
				i := at(p.ID)
				assert.GreaterOrEqual(t, i, 0, "%s: %s is nowhere", sample.Name, p.ID)
				assert.Less(t, i, locked, "%s: %s comes after the locks", sample.Name, p.ID)
				if p.Kind == &components.SolarArray {
					sun = max(sun, i)
				}
				if p.Kind == &components.Battery && (bank < 0 || i < bank) {
					bank = i
				}
			}
		}
		assert.Less(t, sun, bank, sample.Name)
	}
}

// The steps name what the drawing has: a bus with one main switch opens that; a rig
// with none lifts a fuse.
func TestIsolationNamesTheSwitches(t *testing.T) {
	for name, want := range map[string][]string{
		"camper-van":   {"Open SW2 (Roof isolator): this cuts off PV1 (Roof modules)", "Open SW1 (Main disconnect): this cuts off BAT1 (House bank)"},
		"workshop-bus": {"Stop GEN1 (Generator), open its breaker and take its start wire or its battery lead off", "Open SW2 (Roof isolator): this cuts off PV1 (Roof modules)"},
	} {
		i := slices.IndexFunc(projects.Samples(), func(s projects.Sample) bool { return s.Name == name })
		require.GreaterOrEqual(t, i, 0, name)
		var done []string
		for _, s := range Isolation(solved.Of(projects.Samples()[i].Document())) {
			done = append(done, s.Do)
		}
		for _, w := range want {
			assert.Contains(t, done, w, name)
		}
	}
}

// What stays alive is told by its tags, as read off each drawing by hand, and nobody is
// told to find it dead.
func TestIsolationTellsWhatStaysAlive(t *testing.T) {
	for name, want := range map[string][]string{
		// BAT1 W15 F1 W16 SW1; PV1 W9 SW2, and its negative W11 to CC1.
		"camper-van": {"Stays live: the posts of BAT1 (House bank), with W15 and W16, up to SW1", "Stays live: the posts of BAT2 (Engine battery), with W31 and W34, up to F4 and F5",
			"Stays live: the leads of PV1 (Roof modules), with W9 and W11, up to SW2", "Measure at BUS1 (Positive bar): positive to negative, and each to the chassis"},
		// Both strings meet on BUS1, in front of SW1 (W18) and of SW2 (W26 F4 W27).
		"library-bus": {"Stays live: the posts of BAT1 (Bank string 1) and BAT2 (Bank string 2), with W14, W15, W16, W17, W18, W26, W27 and BUS1, up to SW1 and SW2"},
		// F5 alone stands between BUS1 and the solar controller.
		"workshop-bus": {"With nothing drawing, lift F5 (Controller fuse) with an insulated tool: this cuts off BAT1 (Bank string 1), BAT2 (Bank string 2)"},
	} {
		i := slices.IndexFunc(projects.Samples(), func(s projects.Sample) bool { return s.Name == name })
		var done []string
		for _, s := range Isolation(solved.Of(projects.Samples()[i].Document())) {
			done = append(done, s.Do)
			if name == "library-bus" {
				assert.NotContains(t, s.Do, "Measure at BUS1")
			}
		}
		for _, w := range want {
			assert.Contains(t, done, w, name)
		}
	}
}

// A battery without a switch or a fuse loses its leads, and says in front of what.
func TestIsolationOfABareBattery(t *testing.T) {
	i := slices.IndexFunc(projects.Samples(), func(s projects.Sample) bool { return s.Name == "camper-van" })
	doc, err := projects.Samples()[i].Document().Apply(components.Reroute{ID: "W31", From: components.PortRef{Part: "BAT2", Port: "pos"}, To: components.PortRef{Part: "DDC1", Port: "in"}})
	require.NoError(t, err)
	assert.Contains(t, Isolation(solved.Of(doc)), Step{"With nothing drawing, take the negative lead off BAT2 (Engine battery) first, then the positive", "no switch and no fuse is drawn between it and DDC1 (Alternator charger)"})
}

// What is dark without the inverter is told by name, with the way round that the
// drawing tells of, and none where it tells of none.
func TestOutOfOrder(t *testing.T) {
	i := slices.IndexFunc(projects.Samples(), func(s projects.Sample) bool { return s.Name == "camper-van" })
	doc := projects.Samples()[i].Document()
	for told, want := range map[string]string{
		"plug": "move the plug of INV1", "bypass-switch": "turn the bypass switch of INV1", "none": "There is no way round it", "": "unless there is a way round",
	} {
		v := components.Str(told)
		if told == "" {
			v = components.Value{}
		}
		next, err := doc.Apply(components.Set{On: "INV1", Key: "way_round", Value: v})
		require.NoError(t, err)
		all := OutOfOrders(solved.Of(next))
		require.Len(t, all, 1)
		assert.Equal(t, []components.ID{"LD1", "LD2"}, all[0].Lost)
		text := strings.Join(all[0].Steps, "\n")
		assert.Contains(t, text, want, told)
		assert.Contains(t, text, "LD1 (Induction plate)", told)
	}
}

// Every battery, panel and converter of a rig is in a picture.
func TestPhotosShowEveryDevice(t *testing.T) {
	for _, sample := range projects.Samples() {
		doc := sample.Document()
		photos := Photos(solved.Of(doc))
		for _, p := range doc.Parts() {
			if p.Gone() || p.Kind.Role != components.Converts && p.Kind.Role != components.Stores && p.Kind.Role != components.Distributes {
				continue
			}
			assert.True(t, slices.ContainsFunc(photos, func(x Photo) bool { return strings.HasPrefix(x.Of, string(p.ID)+" (") }), "%s: no picture of %s", sample.Name, p.ID)
		}
	}
}

// Where no switch parts a bank from the rig, the fuse at its post is lifted and not those
// of its branches; where two ways lead out, both. Nothing is left with it either way.
func TestTheNearestFuseIsLifted(t *testing.T) {
	const one = `format: rigline/1
title: Bank behind one fuse
parts:
  - {id: BAT1, kind: battery, at: [100, 100], spec: {chemistry: lfp, nominal_v: 12.8, capacity_ah: 100}}
  - {id: F1, kind: fuse, at: [200, 100], spec: {family: class-t, rating_a: 100}}
  - {id: BUS1, kind: busbar, at: [300, 100], spec: {rating_a: 150}}
  - {id: F2, kind: fuse, at: [400, 100], spec: {family: blade-atc, rating_a: 15}}
  - {id: F3, kind: fuse, at: [400, 200], spec: {family: blade-atc, rating_a: 15}}
  - {id: DL1, kind: dc-load, at: [600, 100], spec: {a: 5}}
  - {id: DL2, kind: dc-load, at: [600, 200], spec: {a: 5}}
runs:
  - {id: W1, from: BAT1.pos, to: F1.line, size: 2 AWG, cable: battery-105, length_ft: 1}
  - {id: W2, from: F1.load, to: BUS1.bar, size: 2 AWG, cable: battery-105, length_ft: 1}
  - {id: W3, from: BUS1.bar, to: F2.line, size: 12 AWG, cable: primary-105, length_ft: 1}
  - {id: W4, from: BUS1.bar, to: F3.line, size: 12 AWG, cable: primary-105, length_ft: 1}
  - {id: W5, from: F2.load, to: DL1.in, cores: ["+"], size: 12 AWG, cable: primary-105, length_ft: 1}
  - {id: W6, from: F3.load, to: DL2.in, cores: ["+"], size: 12 AWG, cable: primary-105, length_ft: 1}
`
	const two = one + `  - {id: W7, from: BAT1.pos, to: F4.line, size: 2 AWG, cable: battery-105, length_ft: 1}
  - {id: W8, from: F4.load, to: BUS1.bar, size: 2 AWG, cable: battery-105, length_ft: 1}
`
	for text, want := range map[string][]components.ID{
		one: {"F1"},
		strings.Replace(two, "  - {id: F2,", "  - {id: F4, kind: fuse, at: [200, 200], spec: {family: class-t, rating_a: 100}}\n  - {id: F2,", 1): {"F2", "F3"},
	} {
		doc, _, err := projects.Read("rig.yaml", []byte(text))
		require.NoError(t, err)
		bat, _ := doc.Part("BAT1")
		o := cutOffFrom(solved.Of(doc), bat.Ref("pos").At(components.Pos))
		assert.Equal(t, want, o.lifts)
		assert.Empty(t, o.bare)
	}
}

// A relay is no switch that a hand opens and locks: the fuse ahead of it is lifted.
func TestARelayCutsNothingOff(t *testing.T) {
	const rig = `format: rigline/1
title: Starting battery behind a relay
parts:
  - {id: BAT1, kind: battery, at: [100, 100], spec: {chemistry: agm, nominal_v: 12, capacity_ah: 80, role: starting}}
  - {id: F1, kind: fuse, at: [200, 100], spec: {family: class-t, rating_a: 60}}
  - {id: SW1, kind: dc-switch, at: [300, 100], spec: {rating_a: 100WORD}}
  - {id: DL1, kind: dc-load, at: [600, 100], spec: {a: 5}}
runs:
  - {id: W1, from: BAT1.pos, to: F1.line, size: 6 AWG, cable: battery-105, length_ft: 1}
  - {id: W2, from: F1.load, to: SW1.line, size: 6 AWG, cable: battery-105, length_ft: 1}
  - {id: W3, from: SW1.load, to: DL1.in, cores: ["+"], size: 6 AWG, cable: battery-105, length_ft: 1}
`
	for word, want := range map[string][2][]components.ID{
		"":                    {{"SW1"}, nil},
		", closed_by: hand":   {{"SW1"}, nil},
		", closed_by: engine": {nil, {"F1"}},
	} {
		doc, _, err := projects.Read("rig.yaml", []byte(strings.Replace(rig, "WORD", word, 1)))
		require.NoError(t, err)
		bat, _ := doc.Part("BAT1")
		o := cutOffFrom(solved.Of(doc), bat.Ref("pos").At(components.Pos))
		assert.Equal(t, want, [2][]components.ID{o.opens, o.lifts}, word)
	}
}
