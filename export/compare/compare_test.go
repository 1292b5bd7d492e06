package compare

import (
	"fmt"
	"maps"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/bom"
	"rigline/export/hostile"
	"rigline/export/scene"
	"rigline/projects"
)

func sample(t *testing.T, name string) *components.Document {
	for _, s := range projects.Samples() {
		if s.Name == name {
			return s.Document()
		}
	}
	t.Fatalf("no sample %s", name)
	return nil
}

func TestNothingChanged(t *testing.T) {
	for _, s := range projects.Samples() {
		d := Of(s.Document(), s.Document())
		assert.True(t, d.Same(), s.Name)
		assert.Empty(t, d.Changes, s.Name)
		assert.Positive(t, d.Kept)
		rows, err := d.Materials()
		require.NoError(t, err)
		assert.Empty(t, rows, s.Name)
	}
}

func change(d Difference, id components.ID) (Change, bool) {
	for _, c := range d.Changes {
		if c.ID == id {
			return c, true
		}
	}
	return Change{}, false
}

func TestEveryDifferenceIsNamed(t *testing.T) {
	old := sample(t, "library-bus")
	w7, _ := old.Run("W7")
	moved := w7.Rerouted()
	moved.To = components.PortRef{Part: "LD2", Port: "in"}
	r1, _ := old.Part("R1")
	next, err := old.Apply(
		components.Set{On: "W14", Key: "size", Value: components.Str("1/0 AWG")},
		components.Set{On: "F1", Key: "rating_a", Value: components.Num(150)},
		components.Describe{ID: "LD3", Name: "Reading lights"},
		components.MovePart{ID: "CH1", At: components.Point{X: 1400, Y: 900}},
		components.RemoveRun{ID: "W11"}, components.RemovePart{ID: "R1"},
		components.AddPart{Part: components.Part{ID: "F9", Kind: &components.Fuse, At: components.Point{X: 1000, Y: 1000}, Spec: components.Spec{"family": components.Str("class-t"), "rating_a": components.Num(100)}}},
		moved)
	require.NoError(t, err)
	d := Of(old, next)
	for id, want := range map[components.ID]Sort{"W14": Resized, "F1": Resized, "LD3": Changed, "CH1": Redrawn, "W11": Removed, "R1": Removed, "F9": Added, "W7": Moved} {
		c, ok := change(d, id)
		if assert.True(t, ok, id) {
			assert.Equal(t, want, c.Sort, id)
		}
	}
	assert.Len(t, d.Changes, 8)
	w14, _ := change(d, "W14")
	assert.Equal(t, []string{"size: 2 AWG becomes 1/0 AWG"}, w14.Details)
	w7c, _ := change(d, "W7")
	assert.Equal(t, []string{"from LD1.in to LD2.in"}, w7c.Details)

	rows, err := d.Materials()
	require.NoError(t, err)
	var buys, out []components.ID
	for _, r := range rows {
		if r.Section == bom.Out {
			out = append(out, r.For...)
		} else {
			buys = append(buys, r.For...)
		}
		assert.NotContains(t, r.For, components.ID("BAT1"), "what stays is not bought: %v", r)
	}
	assert.Contains(t, buys, components.ID("W14"))
	assert.Contains(t, buys, components.ID("F9"))
	assert.Contains(t, out, components.ID("W14"), "the old cable comes out")
	assert.Contains(t, out, r1.ID)

	both, err := d.Both()
	require.NoError(t, err)
	gone, ok := both.Part("R1")
	require.True(t, ok)
	assert.Equal(t, components.Remove, gone.Status)
	kept, _ := both.Part("BAT1")
	assert.Equal(t, components.Existing, kept.Status)
}

// A thing marked as coming out in the new drawing is taken out by it; one that the
// old drawing already had so is no news.
func TestComingOutIsRemoved(t *testing.T) {
	old := sample(t, "library-bus")
	next, err := old.Apply(components.Describe{ID: "R1", Status: components.Remove})
	require.NoError(t, err)
	c, ok := change(Of(old, next), "R1")
	require.True(t, ok)
	assert.Equal(t, Removed, c.Sort)
	_, ok = change(Of(next, next), "R1")
	assert.False(t, ok)
	c, _ = change(Of(next, old), "R1")
	assert.Equal(t, Added, c.Sort)
}

// A part that takes the place of one that goes leaves the old one beside it.
func TestTwoPartsDoNotStandOnOnePlace(t *testing.T) {
	old := sample(t, "library-bus")
	f1, _ := old.Part("F1")
	edits := []components.Edit{}
	for _, r := range old.RunsOf("F1") {
		edits = append(edits, components.RemoveRun{ID: r.ID})
	}
	f1.ID = "F9"
	next, err := old.Apply(append(edits, components.RemovePart{ID: "F1"}, components.AddPart{Part: f1})...)
	require.NoError(t, err)
	both, err := Of(old, next).Both()
	require.NoError(t, err)
	a, _ := both.Part("F1")
	b, _ := both.Part("F9")
	assert.NotEqual(t, a.At, b.At)
	for _, o := range both.Parts() {
		if o.ID != "F1" {
			p, q := placed(a), placed(o)
			assert.False(t, p.Min.X+20 < q.Max.X-20 && q.Min.X+20 < p.Max.X-20 && p.Min.Y+20 < q.Max.Y-20 && q.Min.Y+20 < p.Max.Y-20, o.ID)
		}
	}
}

// Any two drawings can be set side by side, and twice the same way.
func TestAnyTwo(t *testing.T) {
	docs := []*components.Document{hostile.Document()}
	for _, shelf := range [][]projects.Sample{projects.Samples(), projects.BrokenSamples(), projects.Starts()} {
		for _, s := range shelf {
			doc, _, err := projects.Read(s.Name+".yaml", s.Data)
			require.NoError(t, err)
			docs = append(docs, doc)
		}
	}
	for i := range docs {
		a, b := docs[i], docs[(i+1)%len(docs)]
		d := Of(a, b)
		s, err := d.Sheet(scene.Meta{})
		require.NoError(t, err, "%s and %s", a.Title, b.Title)
		again, err := Of(a, b).Sheet(scene.Meta{})
		require.NoError(t, err)
		assert.Equal(t, s.String(), again.String())
		_, err = d.Materials()
		require.NoError(t, err)
	}
}

// A panel with other breakers stays: they are bought, and it is not.
func TestAPanelIsRefitted(t *testing.T) {
	old := sample(t, "library-bus")
	pnl, _ := old.Part("PNL1")
	circuits := pnl.Spec["circuits"].Rows()
	next := make([]components.Spec, len(circuits))
	for i, c := range circuits {
		next[i] = maps.Clone(c)
	}
	next[2]["breaker_a"] = components.Num(20) // 15 A, not ground-fault protected
	next[0]["label"] = components.Str("Air conditioner in front")
	doc, err := old.Apply(components.Set{On: "PNL1", Key: "circuits", Value: components.Table(next...)})
	require.NoError(t, err)
	d := Of(old, doc)
	c, ok := change(d, "PNL1")
	require.True(t, ok)
	assert.Equal(t, Refitted, c.Sort)
	assert.Len(t, c.Details, 2, "the label is told too")
	rows, err := d.Materials()
	require.NoError(t, err)
	require.Len(t, rows, 2, "%v", rows)
	for i, want := range []bom.Row{{Section: bom.Protection, Rating: "20 A, 1-pole"}, {Section: bom.Out, Rating: "15 A, 1-pole"}} {
		assert.Equal(t, want.Section, rows[i].Section)
		assert.Equal(t, "Panel breaker", rows[i].Description)
		assert.Equal(t, want.Rating, rows[i].Rating)
		assert.Equal(t, 1.0, rows[i].Quantity)
		assert.Equal(t, []components.ID{"PNL1"}, rows[i].For)
	}
	both, err := d.Both()
	require.NoError(t, err)
	kept, _ := both.Part("PNL1")
	assert.Equal(t, components.Existing, kept.Status)

	doc, err = old.Apply(components.Set{On: "PNL1", Key: "bus_a", Value: components.Num(200)})
	require.NoError(t, err)
	d = Of(old, doc)
	c, _ = change(d, "PNL1")
	assert.Equal(t, Resized, c.Sort, "another bus is another panel")
}

// bills is what a change buys and what comes out by it, a line a row.
func bills(t *testing.T, old, next *components.Document) (buy, out []string) {
	t.Helper()
	rows, err := Of(old, next).Materials()
	require.NoError(t, err)
	for _, r := range rows {
		line := fmt.Sprintf("%g %s, %s", r.Quantity, r.Description, r.Rating)
		switch {
		case r.Section == bom.Out:
			if r.Note != "" {
				line += " (" + r.Note + ")"
			}
			out = append(out, line)
		case r.Section != bom.Marking:
			buy = append(buy, line)
		}
	}
	return buy, out
}

const bench = `format: rigline/1
title: Bench
parts:
  - {id: BAT1, kind: battery, at: [100, 100], spec: {chemistry: lfp, nominal_v: 12.8, capacity_ah: 100, parallel: 2, string_fuse_a: 125, discharge_a: 100}}
  - {id: F1, kind: fuse, at: [200, 100], spec: {family: class-t, rating_a: 150}}
  - {id: F2, kind: fuse, at: [200, 200], spec: {family: anl, rating_a: 100}}
  - {id: F3, kind: fuse, at: [200, 300], spec: {family: class-t, rating_a: 200}}
  - {id: BUS1, kind: busbar, at: [400, 100], spec: {rating_a: 250}}
  - {id: INV1, kind: inverter-charger, at: [600, 100], spec: {continuous_va: 2000, dc_v: 12.8, relay_a: 30, charge_a: 80, input_limit_a: 20}}
  - {id: DL1, kind: dc-load, at: [600, 300], status: existing, spec: {a: 10}}
  - {id: PV1, kind: solar-array, at: [100, 500], spec: {voc_v: 22, isc_a: 6, vmp_v: 18, imp_a: 5.5, series: 1, parallel: 3, string_fuse_a: 15}}
runs:
  - {id: W1, from: BAT1.pos, to: F1.line, size: 2/0 AWG, cable: battery-105, length_ft: 1}
  - {id: W2, from: F1.load, to: BUS1.bar, size: 2/0 AWG, cable: battery-105, length_ft: 3}
  - {id: W3, from: BUS1.bar, to: DL1.in, cores: ["+"], cable: primary-105, length_ft: 3, status: existing}
`

// What stays is not bought again: a holder that takes the new fuse, the strings of a
// bank that grows, an inverter that is set otherwise, what was only found out. Where a
// conductor stays and the stud under it does not, its lug is.
func TestOnlyWhatTheChangeNeeds(t *testing.T) {
	old, _, err := projects.Read("bench.yaml", []byte(bench))
	require.NoError(t, err)
	set := func(id components.ID, key string, v components.Value) components.Set {
		return components.Set{On: id, Key: key, Value: v}
	}
	const posts = " (on every positive post; current-limiting where the bank is lithium)"
	for name, c := range map[string]struct {
		edits    []components.Edit
		buy, out []string
	}{
		"a smaller fuse of the same body": {[]components.Edit{set("F1", "rating_a", components.Num(125))},
			[]string{"1 Fuse, 125 A class T", "1 Fuse, 125 A class T"}, []string{"1 Fuse, 150 A class T (its holder stays)"}},
		"a fuse whose spare is there already": {[]components.Edit{set("F1", "rating_a", components.Num(200))},
			[]string{"1 Fuse, 200 A class T"}, []string{"1 Fuse, 150 A class T (its holder stays)"}},
		"a fuse of a larger body, with its holder and its larger stud": {[]components.Edit{set("F1", "rating_a", components.Num(250))},
			[]string{"1 Fuse, 250 A class T", "1 Fuse holder, for 250 A class T", "1 Fuse, 250 A class T",
				"2 Tinned copper lug, 2/0 AWG, 3/8 in stud", "2 Adhesive-lined heat shrink, one length a lug, for 2/0 AWG"},
			[]string{"1 Fuse, 150 A class T (with its holder, where that does not stay)"}},
		"a larger fuse in a holder of its own rating": {[]components.Edit{set("F2", "rating_a", components.Num(150))},
			[]string{"1 Fuse, 150 A ANL", "1 Fuse holder, for 150 A ANL", "1 Fuse, 150 A ANL"}, []string{"1 Fuse, 100 A ANL (with its holder, where that does not stay)"}},
		"another family": {[]components.Edit{set("F2", "family", components.Str("class-t"))},
			[]string{"1 Fuse, 100 A class T", "1 Fuse holder, for 100 A class T", "1 Fuse, 100 A class T"}, []string{"1 Fuse, 100 A ANL (with its holder, where that does not stay)"}},
		"two alike change": {[]components.Edit{set("F1", "rating_a", components.Num(175)), set("F3", "rating_a", components.Num(175))},
			[]string{"2 Fuse, 175 A class T", "1 Fuse, 175 A class T"}, []string{"1 Fuse, 150 A class T (its holder stays)", "1 Fuse, 200 A class T (its holder stays)"}},
		"one string more": {[]components.Edit{set("BAT1", "parallel", components.Num(3))},
			[]string{"1 Battery, LFP, 12.8 V, 100 Ah", "1 Fuse holder, for 125 A, family not told", "1 Fuse on each string, 125 A, family not told"}, nil},
		"one string fewer": {[]components.Edit{set("BAT1", "parallel", components.Num(1))}, nil, []string{"1 Battery, LFP, 12.8 V, 100 Ah"}},
		"other fuses on the strings": {[]components.Edit{set("BAT1", "string_fuse_a", components.Num(100))},
			[]string{"2 Fuse holder, for 100 A, family not told", "2 Fuse on each string, 100 A, family not told", "1 Fuse on each string, 100 A, family not told"},
			[]string{"2 Fuse holder, for 125 A, family not told" + posts, "2 Fuse on each string, 125 A, family not told" + posts}},
		"a second cable beside the first": {[]components.Edit{set("W2", "sets", components.Num(2))},
			[]string{"4 battery cable, 105 °C, 2/0 AWG", "2 Tinned copper lug, 2/0 AWG, 5/16 in stud", "2 Adhesive-lined heat shrink, one length a lug, for 2/0 AWG", "2 Cushioned clamp, for 2/0 AWG"}, nil},
		"a larger bar, whose studs are larger": {[]components.Edit{set("BUS1", "rating_a", components.Num(600))},
			[]string{"1 Bus bar, 600 A", "1 Tinned copper lug, 2/0 AWG, 3/8 in stud", "1 Tinned copper lug, size not known, 3/8 in stud",
				"1 Adhesive-lined heat shrink, one length a lug, for 2/0 AWG", "1 Adhesive-lined heat shrink, one length a lug, size not known", "1 Insulating cover of a bus bar, 600 A"}, []string{"1 Bus bar, 250 A"}},
		"other settings":       {[]components.Edit{set("INV1", "charge_a", components.Num(60)), set("INV1", "input_limit_a", components.Num(16))}, nil, nil},
		"a figure of a label":  {[]components.Edit{set("F1", "interrupting_a", components.Num(20000)), set("BAT1", "charge_a", components.Num(100))}, nil, nil},
		"a size found out":     {[]components.Edit{set("W3", "size", components.Str("12 AWG"))}, nil, nil},
		"a load measured anew": {[]components.Edit{set("DL1", "a", components.Num(8))}, nil, nil},
	} {
		next, err := old.Apply(c.edits...)
		require.NoError(t, err, name)
		buy, out := bills(t, old, next)
		assert.Equal(t, c.out, out, name)
		assert.Equal(t, c.buy, buy, name)
	}
}
