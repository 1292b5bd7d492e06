package checks

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
)

// inTwoArrays draws PV1, two modules in series, as PV1 above PV9, joined by W99.
func inTwoArrays(t *testing.T, doc *components.Document, edits ...components.Edit) *components.Document {
	t.Helper()
	whole, err := doc.Apply(edits...)
	require.NoError(t, err)
	top, _ := whole.Part("PV1")
	lower := components.Part{ID: "PV9", Kind: top.Kind, At: components.Point{X: top.At.X, Y: top.At.Y + 200}, Spec: top.Spec.With("series", components.Num(1)).With("parallel", components.Num(2))}
	two, err := whole.Apply(append(gone("W15"), components.AddPart{Part: lower}, num("PV1", "series", 1), num("PV1", "parallel", 2),
		roof("W15", "PV9.out", "CC1.pv", "-", 15), roof("W99", "PV1.out", "PV9.out", "->+", 3))...)
	require.NoError(t, err)
	return two
}

func roof(id components.ID, from, to, core string, feet float64) components.AddRun {
	r := wire(id, from, to, core).(components.AddRun)
	r.Run.Spec = components.Spec{"size": components.Str("10 AWG"), "cable": components.Str("pv-90"), "length_ft": components.Num(feet)}
	return r
}

// Two arrays drawn in series are judged as the one array of two modules that they are:
// the same rules speak at the same places.
func TestTwoArraysInSeriesAreOne(t *testing.T) {
	for name, edits := range map[string][]components.Edit{
		"as it is":                        nil,
		"beyond the controller when cold": {num("CC1", "max_pv_v", 50)},
		"a switch of 40 V":                {num("SW1", "volts_dc", 40)},
		"too low when hot":                {num("PV1", "vmp_v", 7)},
		"a switch of 20 A":                {num("SW1", "rating_a", 20)},
		"beyond the controller's amperes": {num("CC1", "max_pv_a", 17)},
		"leads too thin":                  {num("PV1", "isc_a", 12.9)},
		"no label":                        {unknown("PV1", "voc_v")},
		"no short-circuit current":        {unknown("PV1", "isc_a")},
	} {
		t.Run(name, func(t *testing.T) {
			doc := load(t, pvRig)
			one, err := doc.Apply(edits...)
			require.NoError(t, err)
			twoAreToldOfAsOne(t, one, inTwoArrays(t, doc, edits...), "PV1", "PV9", "solar.conductor-156-percent violation W99")
		})
	}
}

func TestArraysInSeriesAreDrawnAsOne(t *testing.T) {
	array := func(id components.ID, y int) components.Edit {
		return components.AddPart{Part: components.Part{ID: id, Kind: &components.SolarArray, At: components.Point{X: 900, Y: y}, Spec: components.Spec{
			"series": components.Num(1), "parallel": components.Num(1), "voc_v": components.Num(45), "isc_a": components.Num(10), "vmp_v": components.Num(37), "imp_a": components.Num(9.5)}}}
	}
	edits := []components.Edit{array("PV8", 600), array("PV9", 700), wire("W97", "PV8.out", "PV9.out", "->+")}
	edges(t, oneBlock, "conductor.crossed-poles", []edge{
		{name: "two arrays in series", edits: edits, at: "W97", says: "in series as two symbols. The rules add up their voltages", from: "an array's symbol stands for its strings"},
	})
	doc, err := load(t, oneBlock).Apply(edits...)
	require.NoError(t, err)
	for _, f := range check(t, doc).All() {
		if f.Rule == CrossedPoles {
			require.Len(t, f.Fixes, 1)
			next, err := doc.Apply(f.Fixes[0].Edits...)
			require.NoError(t, err)
			one, _ := next.Part("PV9")
			assert.Equal(t, 2.0, one.Figure("series").Value)
			_, there := next.Part("PV8")
			assert.False(t, there)
		}
	}
}
