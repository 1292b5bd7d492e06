package canvas

import (
	"context"
	"testing"

	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/canvas/session"
	"rigline/components"
	"rigline/rules"
	"rigline/rules/checks"
)

// usualAnswers are the answers that stand in the form at first.
func usualAnswers() []int {
	chosen := make([]int, len(questions))
	for i, q := range questions {
		chosen[i] = q.usual
	}
	return chosen
}

// choose gives one question the answer of some words.
func choose(t *testing.T, chosen []int, ask, words string) {
	t.Helper()
	for i, q := range questions {
		for k, a := range q.answers {
			if q.ask == ask && a.words == words {
				chosen[i] = k
				return
			}
		}
	}
	t.Fatalf("no answer %q to %q", words, ask)
}

// A question that means nothing after the answers before it is greyed, and says
// nothing.
func TestQuestionsThatMeanNothingAreGreyed(t *testing.T) {
	h := newHand(t)
	h.askQuestions()
	lists := map[string]*pickList{}
	for _, o := range test.LaidOutObjects(h.win.Canvas().Overlays().Top()) {
		if f, ok := o.(*widget.Form); ok {
			for _, item := range f.Items {
				if l, ok := item.Widget.(*pickList); ok {
					lists[item.Text] = l
				}
			}
		}
	}
	require.Len(t, lists, len(questions))
	assert.True(t, lists["Converter or charger"].Disabled(), "the inverter/charger charges")
	assert.False(t, lists["Power of the inverter"].Disabled())
	lists["Inverter"].SetSelected("none")
	assert.False(t, lists["Converter or charger"].Disabled())
	assert.True(t, lists["Power of the inverter"].Disabled())
	assert.True(t, lists["The inverter feeds"].Disabled())
	lists["Site supply"].SetSelected("none")
	assert.True(t, lists["Outlet circuits"].Disabled(), "nothing makes AC")

	chosen := usualAnswers()
	choose(t, chosen, "Inverter", "none")
	choose(t, chosen, "Power of the inverter", notYet)
	a, _ := answersOf(chosen)
	assert.Zero(t, a.InverterVA)
	assert.Empty(t, a.NotKnown, "what was not asked is not open")
}

// A trailer without an inverter: its converter, outlets and loads stand on the sheet
// under their names, sized by what the answers tell, with no danger and no violation.
func TestATrailerWithoutAnInverter(t *testing.T) {
	chosen := usualAnswers()
	for ask, words := range map[string]string{
		"Surge or supply protector": "yes", "Inverter": "none", "Converter or charger": "55 A", "Outlet circuits": "1",
		"Capacity of the bank": "100 Ah", "Solar array": "no",
	} {
		choose(t, chosen, ask, words)
	}
	a, _ := answersOf(chosen)
	a.Main, a.DCMain = session.Appliances[:1], session.DCAppliances[:3]
	doc, err := session.FirstSheet(a, checks.All)
	require.NoError(t, err)
	names := map[string]*components.Kind{}
	for _, p := range doc.Parts() {
		names[p.Name] = p.Kind
	}
	for name, kind := range map[string]*components.Kind{"Supply protector": &components.SurgeProtector, "Charger": &components.Charger,
		"Outlets 1": &components.Receptacle, "Air conditioner": &components.ACLoad, "Lights": &components.DCLoad, "Water pump": &components.DCLoad, "Roof fan": &components.DCLoad} {
		assert.Same(t, kind, names[name], name)
	}
	for _, r := range doc.Runs() {
		assert.True(t, r.Spec["size"].Known() && r.Spec["cable"].Known(), "%s has its size and its cable", r.ID)
	}
	report, err := rules.Check(context.Background(), doc, checks.All)
	require.NoError(t, err)
	assert.Zero(t, report.Counts().Danger+report.Counts().Violation)
}
