package components

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func small(t *testing.T) *Document {
	t.Helper()
	d, err := NewDocument("small").Apply(
		AddPart{Part{ID: "BAT1", Kind: &Battery, Spec: Spec{"chemistry": Str("lfp"), "nominal_v": Num(12.8), "capacity_ah": Unknown}}},
		AddPart{Part{ID: "INV1", Kind: &InverterCharger, Spec: Spec{"continuous_va": Num(2000), "dc_v": Num(12.8), "relay_a": Num(30), "charge_a": Num(50)}}},
		AddRun{Run{ID: "W1", From: PortRef{"BAT1", "pos"}, To: PortRef{"INV1", "dc"}}},
	)
	require.NoError(t, err)
	return d
}

func TestApplyLeavesTheOldDocumentWhole(t *testing.T) {
	d := small(t)
	next, err := d.Apply(Set{"INV1", "continuous_va", Num(3000)}, MovePart{"BAT1", Point{40, 50}, 90})
	require.NoError(t, err)
	was, _ := d.Part("INV1")
	is, _ := next.Part("INV1")
	assert.Equal(t, 2000.0, was.Figure("continuous_va").Value)
	assert.Equal(t, 3000.0, is.Figure("continuous_va").Value)
	bat, _ := next.Part("BAT1")
	assert.Equal(t, 90, bat.Turn)
	old, _ := d.Part("BAT1")
	assert.Equal(t, 0, old.Turn)
}

func TestEditsAreAllAppliedOrNone(t *testing.T) {
	d := small(t)
	next, err := d.Apply(Set{"INV1", "continuous_va", Num(3000)}, RemovePart{"BAT1"})
	assert.Nil(t, next)
	assert.ErrorContains(t, err, "run W1 still ends there")
	p, _ := d.Part("INV1")
	assert.Equal(t, 2000.0, p.Figure("continuous_va").Value)
}

func TestEditsRefuseWhatCannotBe(t *testing.T) {
	d := small(t)
	for _, c := range []struct {
		edit Edit
		says string
	}{
		{AddPart{Part{ID: "BAT1", Kind: &Battery}}, "the tag BAT1 is taken"},
		{AddPart{Part{ID: "B.1", Kind: &Battery}}, "without dots or spaces"},
		{RemovePart{"X1"}, "there is no part X1"},
		{Set{"INV1", "continuous_va", Num(-5)}, "want 50 to 20000 VA"},
		{Set{"INV1", "colour", Str("blue")}, "has no colour"},
		{Set{"INV1", "continuous_va", Value{}}, "must be told, if only as unknown"},
		{Set{"INV1", "passes", Unknown}, "cannot be unknown"},
		{Set{"W1", "size", Str("fat")}, `size "fat" is unknown`},
		{AddRun{Run{ID: "W2", From: PortRef{"BAT1", "pos"}, To: PortRef{"BAT1", "neg"}}}, "no pole in common"},
		{AddRun{Run{ID: "W2", From: PortRef{"BAT1", "top"}, To: PortRef{"INV1", "dc"}}}, `BAT1 has no port "top"`},
		{AddRun{Run{ID: "W2", From: PortRef{"BATT1", "pos"}, To: PortRef{"INV1", "dc"}}}, `did you mean "BAT1"?`},
		{AddRun{Run{ID: "W2", From: PortRef{"BAT1", "pos"}, To: PortRef{"INV1", "dc"}, Cores: []Core{{Neg, Neg}}}}, "BAT1.pos has no -"},
		{Accept{Acceptance{Rule: "x", On: []string{"BAT1"}}}, "needs a reason"},
	} {
		_, err := d.Apply(c.edit)
		assert.ErrorContains(t, err, c.says, "%s", c.edit)
	}
}

func TestShapingAFieldKeepsItsRuns(t *testing.T) {
	d, err := small(t).Apply(
		AddPart{Part{ID: "LD1", Kind: &ACLoad, Spec: Spec{"va": Num(100)}}},
		AddRun{Run{ID: "W2", From: PortRef{"INV1", "ac-out"}, To: PortRef{"LD1", "in"}, Cores: []Core{{L, L}, {N, N}}}})
	require.NoError(t, err)
	_, err = d.Apply(Set{"INV1", "passes", Str("both")})
	assert.ErrorContains(t, err, "run W2 would lose its end")
}

func TestRenameCarriesRunsAndComments(t *testing.T) {
	d := small(t)
	d.Comments = map[string]Comment{"BAT1": {Beside: "found under the bed"}}
	next, err := d.Apply(RenamePart{"BAT1", "BAT7"})
	require.NoError(t, err)
	r, _ := next.Run("W1")
	assert.Equal(t, PortRef{"BAT7", "pos"}, r.From)
	assert.Equal(t, "found under the bed", next.Comments["BAT7"].Beside)
	assert.Contains(t, d.Comments, "BAT1")
}

// What is told of a part elsewhere keeps up with its tag, and goes with it: a state that
// names a part which is not there cannot be read again.
func TestTagsElsewhereKeepUp(t *testing.T) {
	d := small(t)
	d.States = []State{{Name: "Off grid", Off: []ID{"BAT9", "INV1"}, On: []ID{"INV1"}}}
	d.Accepted = []Acceptance{{Rule: "x", On: []string{"INV1.dc", "INV12"}, Reason: "so"}}
	d.Readings = []Reading{{Item: "L04/INV1", Value: "1"}, {Item: "D02", Value: "2"}}
	next, err := d.Apply(RenamePart{"INV1", "INV7"})
	require.NoError(t, err)
	assert.Equal(t, []State{{Name: "Off grid", Off: []ID{"BAT9", "INV7"}, On: []ID{"INV7"}}}, next.States)
	assert.Equal(t, []string{"INV7.dc", "INV12"}, next.Accepted[0].On)
	assert.Equal(t, "L04/INV7", next.Readings[0].Item)
	assert.Equal(t, []ID{"BAT9", "INV1"}, d.States[0].Off, "the document before is as it was")
	assert.Equal(t, "L04/INV1", d.Readings[0].Item)
	gone, err := d.Apply(d.Delete("INV1")...)
	require.NoError(t, err)
	assert.Equal(t, []ID{"BAT9"}, gone.States[0].Off)
	assert.Empty(t, gone.States[0].On)
}

func TestDeleteTakesTheRunsAlong(t *testing.T) {
	d := small(t)
	next, err := d.Apply(d.Delete("BAT1")...)
	require.NoError(t, err)
	assert.Empty(t, next.Runs())
	assert.Len(t, next.Parts(), 1)
}

func TestHistory(t *testing.T) {
	h := NewHistory(small(t))
	require.NoError(t, h.Do("Fit 3 kVA in INV1", Set{"INV1", "continuous_va", Num(3000)}))
	require.Error(t, h.Do("Nonsense", RemovePart{"X"}))
	assert.Equal(t, "Fit 3 kVA in INV1", h.UndoLabel())
	label, ok := h.Undo()
	assert.True(t, ok)
	assert.Equal(t, "Fit 3 kVA in INV1", label)
	assert.Equal(t, "Fit 3 kVA in INV1", h.RedoLabel())
	_, ok = h.Undo()
	assert.False(t, ok)
	_, ok = h.Redo()
	assert.True(t, ok)
	p, _ := h.Now().Part("INV1")
	assert.Equal(t, 3000.0, p.Figure("continuous_va").Value)
}

func TestTagsCountAsAPersonCounts(t *testing.T) {
	assert.Negative(t, CompareIDs("BAT2", "BAT10"))
	assert.Positive(t, CompareIDs("W10", "W9"))
	assert.Zero(t, CompareIDs("F1", "F1"))
	assert.NotZero(t, CompareIDs("F1", "F01"))
	assert.Equal(t, ID("BAT2"), small(t).FreeID("BAT"))
}

func TestOperatingStates(t *testing.T) {
	names := func(d *Document) (all []string) {
		for _, s := range d.Operating() {
			all = append(all, s.Name)
		}
		return all
	}
	d := small(t)
	assert.Equal(t, []string{"Off grid"}, names(d))
	d, err := d.Apply(AddPart{Part{ID: "SH1", Kind: &Shore, Spec: Spec{"service": Str("50a-120/240")}}},
		AddPart{Part{ID: "GEN1", Kind: &Generator, Spec: Spec{"rating_va": Num(4000), "breaker_a": Num(30)}}},
		AddPart{Part{ID: "ALT1", Kind: &Alternator, Spec: Spec{"rating_a": Num(100)}}})
	require.NoError(t, err)
	assert.Equal(t, []string{"Shore", "Shore 30 A adapter", "Shore 20 A adapter", "Shore 15 A adapter", "Generator", "Off grid", "Driving"}, names(d))
}

// What is looked up in a document that follows another is its own: after an edit of a
// figure, of what shapes the ports, of a turn, and of the parts and runs themselves.
func TestLookUpsFollowTheEdit(t *testing.T) {
	row := Spec{"leg": Str("L1"), "breaker_a": Num(15)}
	doc, err := NewDocument("Follows").Apply(
		AddPart{Part{ID: "PNL1", Kind: &Panel, Spec: Spec{"bus_a": Num(50), "circuits": Table(row, row)}}},
		AddPart{Part{ID: "LD1", Kind: &ACLoad, At: Point{X: 400}, Spec: Spec{"va": Num(100)}}},
		AddRun{Run{ID: "W1", From: PortRef{"PNL1", "c1"}, To: PortRef{"LD1", "in"}}},
	)
	require.NoError(t, err)
	for _, edit := range []Edit{
		Set{On: "LD1", Key: "va", Value: Num(200)},
		Set{On: "W1", Key: "length_ft", Value: Num(20)},
		Set{On: "PNL1", Key: "circuits", Value: Table(row, row, row)},
		Set{On: "PNL1", Key: "circuits", Value: Table(row, Spec{"leg": Str("both"), "breaker_a": Num(30)}, row)},
		MovePart{ID: "LD1", At: Point{X: 500}, Turn: 90},
		AddRun{Run{ID: "W2", From: PortRef{"PNL1", "c3"}, To: PortRef{"LD1", "in"}}},
		RenamePart{ID: "LD1", To: "LD7"},
		RemoveRun{ID: "W1"},
	} {
		doc.index()
		doc, err = doc.Apply(edit)
		require.NoError(t, err, edit)
		for _, p := range doc.Parts() {
			assert.Equal(t, p.Ports(), doc.PortsOf(p.ID), "%s: ports of %s", edit, p.ID)
			assert.ElementsMatch(t, doc.runsWhere(func(r Run) bool { return r.From.Part == p.ID || r.To.Part == p.ID }), doc.RunsOf(p.ID), "%s: runs of %s", edit, p.ID)
		}
		for _, r := range doc.Runs() {
			assert.Equal(t, doc.coresOf(r, nil), doc.CoresOf(r), "%s: cores of %s", edit, r.ID)
			assert.Contains(t, doc.RunsAt(r.To), r, edit)
		}
	}
}
