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
		"camper-van":   {"Open SW2 (Roof isolator): it cuts off PV1 (Roof modules)", "Open SW1 (Main disconnect): it cuts off BAT1 (House bank)"},
		"workshop-bus": {"Stop GEN1 (Generator), open its breaker and take its start wire or its battery lead off", "Open SW2 (Roof isolator): it cuts off PV1 (Roof modules)"},
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
