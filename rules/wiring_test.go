package rules

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
)

// A rule that asks for the wiring alone is shown no more than that, is not asked
// again after the edit of a run's figure, and is after the edit of a part's.
func TestRuleOfTheWiring(t *testing.T) {
	doc := components.NewDocument("A lead")
	doc.States = []components.State{{Name: "Off grid", SoC: 0.5}}
	doc, err := doc.Apply(
		components.AddPart{Part: components.Part{ID: "BAT1", Kind: &components.Battery, Name: "House", Spec: components.Spec{"chemistry": components.Str("lfp"), "nominal_v": components.Num(12.8)}}},
		components.AddPart{Part: components.Part{ID: "F1", Kind: &components.Fuse, At: components.Point{X: 100}, Spec: components.Spec{"rating_a": components.Num(200)}}},
		components.AddRun{Run: components.Run{ID: "W1", From: components.PortRef{Part: "BAT1", Port: "pos"}, To: components.PortRef{Part: "F1", Port: "line"}, Spec: components.Spec{"length_ft": components.Num(1)}}},
	)
	require.NoError(t, err)
	asked, speak := 0, 250.0
	rule := &Rule{ID: "test.wiring", Level: Advice, Wiring: true, Check: func(p *Pass) {
		asked++
		run, _ := p.Doc.Run("W1")
		fuse, _ := p.Doc.Part("F1")
		battery, _ := p.Doc.Part("BAT1")
		if rating := fuse.Figure("rating_a").Value; rating > speak {
			p.Report(Finding{At: "F1", Message: battery.Name})
			return
		}
		assert.Empty(t, run.Spec)
		assert.Empty(t, battery.Name)
		assert.Nil(t, p.Solution)
		assert.Nil(t, p.All)
	}}
	book := []*Rule{rule}
	report, err := Check(context.Background(), doc, book)
	require.NoError(t, err)
	assert.Empty(t, report.Findings)
	assert.Equal(t, 1, asked)

	after := func(edit components.Edit) *Report {
		doc, err = doc.Apply(edit)
		require.NoError(t, err)
		report, err = CheckNext(context.Background(), report, doc, book)
		require.NoError(t, err)
		return report
	}
	assert.Empty(t, after(components.Set{On: "W1", Key: "length_ft", Value: components.Num(2)}).Findings)
	assert.Equal(t, 1, asked, "a run's figure")

	found := after(components.Set{On: "F1", Key: "rating_a", Value: components.Num(300)}).Findings
	require.Len(t, found, 1)
	assert.Equal(t, "House", found[0].Message, "told of the document at hand")
	assert.Equal(t, 3, asked, "of the wiring, and of the document since it speaks")

	require.Len(t, after(components.Set{On: "W1", Key: "length_ft", Value: components.Num(3)}).Findings, 1)
	assert.Equal(t, 4, asked, "it speaks on")
}
