package canvas

import (
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/canvas/session"
	"rigline/components"
	"rigline/projects"
	"rigline/rules"
)

// orders are the repairs' buttons in the list.
func (h *hand) orders() []*order {
	var all []*order
	for _, o := range test.LaidOutObjects(h.findings.box) {
		if b, ok := o.(*order); ok {
			all = append(all, b)
		}
	}
	return all
}

func (h *hand) broken(t *testing.T) {
	t.Helper()
	samples := projects.BrokenSamples()
	require.NotEmpty(t, samples)
	for _, s := range samples {
		h.s.Start(s.Document())
		h.settle()
		report, _ := h.s.Report()
		for _, f := range report.Findings {
			if len(f.Fixes) > 0 {
				return
			}
		}
	}
	t.Fatal("no broken sample offers a repair")
}

// The pointer on a repair's button shows on the sheet what it would do; off it,
// nothing is left of that, and the document is as it was.
func TestARepairIsShownBeforeItIsDone(t *testing.T) {
	h := newHand(t)
	h.broken(t)
	doc := h.s.Doc()
	orders := h.orders()
	require.NotEmpty(t, orders)
	w, hh := int(h.board.Size().Width), int(h.board.Size().Height)
	shot := func() string { h.board.paint(w, hh); return string(h.board.out.Pix) }
	h.s.Fit()
	before := shot()
	for _, o := range orders {
		o.MouseIn(nil)
		v := h.s.Preview()
		assert.Contains(t, v.Hint, o.text)
		assert.True(t, len(v.Lit)+len(v.Away) > 0, "%s: nothing is lit", o.text)
		assert.NotEqual(t, before, shot(), "%s is not seen on the sheet", o.text)
		o.MouseOut()
		assert.Equal(t, before, shot(), "%s leaves something behind", o.text)
	}
	assert.Same(t, doc, h.s.Doc())
	orders[0].FocusGained()
	assert.NotEmpty(t, h.s.Preview().Hint, "the keyboard shows it too")
	orders[0].TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	assert.NotSame(t, doc, h.s.Doc())
	assert.Empty(t, h.s.Preview().Lit)
}

func TestFindingsBySieve(t *testing.T) {
	h := newHand(t)
	h.broken(t)
	report, _ := h.s.Report()
	shown := func() (all []rules.Finding) {
		for _, f := range append(report.Findings, report.Unchecked...) {
			if h.findings.sieve.lets(h.s, f) {
				all = append(all, f)
			}
		}
		return all
	}
	everything := len(report.Findings) + len(report.Unchecked)
	assert.Len(t, shown(), everything)
	worst := report.Findings[0]
	h.findings.sieve.levels.SetSelected(worst.Level.String())
	for _, f := range shown() {
		assert.Equal(t, worst.Level, f.Level)
		assert.False(t, f.Unchecked)
	}
	h.findings.showAll()
	require.NotEmpty(t, report.States)
	h.findings.sieve.states.SetSelected(report.States[0].Name)
	for _, f := range shown() {
		if len(f.States) > 0 {
			assert.Contains(t, f.States, report.States[0].Name)
		}
	}
	h.findings.showAll()
	owner, _ := h.s.Owner(worst.At)
	h.s.Select(owner)
	h.findings.sieve.mine.SetChecked(true)
	assert.NotEmpty(t, shown())
	assert.LessOrEqual(t, len(shown()), everything)
	h.s.Select()
	assert.Empty(t, shown())
	// One that is asked for is shown whatever the sieve.
	h.s.ShowFinding(1)
	assert.True(t, slices.ContainsFunc(shown(), func(f rules.Finding) bool { return f.Rule == worst.Rule && f.At == worst.At }))
}

func TestKeysGoFromFindingToFinding(t *testing.T) {
	h := newHand(t)
	h.broken(t)
	report, _ := h.s.Report()
	for i, f := range report.Findings {
		h.board.TypedKey(&fyne.KeyEvent{Name: fyne.KeyF8})
		assert.Equal(t, i+1, h.s.Wanted())
		id, _ := h.s.Owner(f.At)
		assert.Equal(t, []components.ID{id}, h.s.Selected())
	}
	h.board.TypedKey(&fyne.KeyEvent{Name: fyne.KeyF7})
	assert.Equal(t, max(1, len(report.Findings)-1), h.s.Wanted())
}

func TestKeysGoFromColumnToColumn(t *testing.T) {
	h := newHand(t)
	h.broken(t)
	h.win.Canvas().Focus(h.board)
	seen := map[fyne.Focusable]bool{}
	for range 4 {
		h.run(h.command("To the next column"))
		f := h.win.Canvas().Focused()
		require.NotNil(t, f)
		assert.False(t, seen[f])
		seen[f] = true
	}
	assert.True(t, seen[h.board], "and round again")
}

// Behind the findings, the key for the next one goes through the figures that
// checks lack, and takes the keyboard to where one is to be told.
func TestTheNextFindingIsAMissingFigure(t *testing.T) {
	h := newHand(t)
	van, ok := projects.FindSample("van-12v")
	require.True(t, ok)
	h.s.Start(van.Document())
	for _, id := range []components.ID{"W1", "W2"} {
		require.NoError(t, h.s.Do("Forget", components.Set{On: id, Key: "size", Value: components.Unknown}))
	}
	h.settle()
	report, _ := h.s.Report()
	require.Greater(t, len(report.Unchecked), 1)
	for range report.Findings {
		h.s.StepFinding(1)
	}
	assert.Empty(t, h.s.Missed().On)
	h.s.StepFinding(1)
	first := h.s.Missed()
	require.NotNil(t, first.Field, first.Says)
	assert.True(t, h.s.IsSelected(first.On))
	assert.True(t, slices.ContainsFunc(h.details.rows, func(r *row) bool {
		f, ok := r.control.(fyne.Focusable)
		return ok && r.figure && f == h.win.Canvas().Focused()
	}), "the keyboard is at a figure")
	h.s.StepFinding(1)
	assert.False(t, first.Same(h.s.Missed()))
}

func TestSayingsNameFieldsByTheirTitles(t *testing.T) {
	doc := components.NewDocument("x")
	p := session.NewPart(doc, &components.InverterCharger)
	doc, err := doc.Apply(components.AddPart{Part: p})
	require.NoError(t, err)
	f := rules.Finding{At: "INV1", Message: "input_limit_a of INV1 is not told"}
	assert.Equal(t, "“Input current limit” of INV1 is not told", plainSaying(doc, f))
	doc, err = doc.Apply(components.AddPart{Part: session.NewPart(doc, &components.DCLoad)})
	require.NoError(t, err)
	assert.Equal(t, "“Current” of DL1 is not known", plainSaying(doc, rules.Finding{At: "DL1", Message: "a of DL1 is not known"}))
	doc, err = doc.Apply(components.AddPart{Part: session.NewPart(doc, &components.Battery)})
	require.NoError(t, err)
	bat := rules.Finding{At: "BAT1", Message: "discharge_a of BAT1 is 100 and charge_a is not told"}
	assert.Equal(t, "“Discharge limit of a block” of BAT1 is 100 and “Charge limit of a block” is not told", plainSaying(doc, bat))
}

// The keys of the findings work while the cursor is in a field; what was typed is
// taken first.
func TestTheFindingsKeysWorkInAField(t *testing.T) {
	h := newHand(t)
	van, _ := projects.FindSample("van-12v")
	h.s.Start(van.Document())
	require.NoError(t, h.s.Do("Forget", components.Set{On: "W1", Key: "length_ft", Value: components.Unknown}))
	h.settle()
	h.s.Select("W1")
	e := h.field("Length, one way")
	h.details.focus(e)
	test.Type(e, "4")
	e.TypedKey(&fyne.KeyEvent{Name: fyne.KeyF8})
	r, _ := h.s.Doc().Run("W1")
	assert.Equal(t, 4.0, r.Figure("length_ft").Value)
	h.settle()
	h.s.Select("W1")
	h.win.Canvas().Focus(h.row("Size").control.(fyne.Focusable))
	h.row("Size").control.(*pickList).TypedKey(&fyne.KeyEvent{Name: fyne.KeyF8})
	assert.Positive(t, h.s.Wanted(), "the first finding")
}

// Four of one kind are repaired with one press; what would only take parts off the
// sheet is not offered for all.
func TestManyPlacesAreRepairedWithOnePress(t *testing.T) {
	h := newHand(t)
	bus, ok := projects.FindSample("library-bus")
	require.True(t, ok)
	h.s.Start(bus.Document())
	var edits []components.Edit
	for _, p := range h.s.Doc().Parts() {
		if p.Kind == &components.ACLoad || p.Kind == &components.Receptacle {
			for _, r := range h.s.Doc().RunsOf(p.ID) {
				edits = append(edits, components.Set{On: r.ID, Key: "size", Value: components.Str("18 AWG")})
			}
		}
	}
	require.Greater(t, len(edits), 3)
	require.NoError(t, h.s.Do("Thin wires", edits...))
	h.settle()
	before, _ := h.s.Report()
	require.Greater(t, before.Counts().Danger, 3)
	var all *order
	for _, o := range h.orders() {
		if strings.HasPrefix(o.text, "Repair all ") {
			all = o
			break
		}
	}
	require.NotNil(t, all)
	was := h.s.Doc()
	all.Tapped(nil)
	h.await("repaired", func() bool { return h.s.Doc() != was })
	h.settle()
	after, _ := h.s.Report()
	assert.Zero(t, after.Counts().Danger)
	assert.True(t, onlyTakesOut(rules.Fix{Edits: []components.Edit{components.RemovePart{ID: "BAT1"}}}))
}
