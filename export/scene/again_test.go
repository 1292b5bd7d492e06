package scene

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
)

// Whatever is edited, the sheet of the next plan is the sheet drawn from the
// beginning, shape by shape.
func TestTheNextPlanIsAsAnew(t *testing.T) {
	chance := rand.New(rand.NewPCG(3, 5))
	kept := 0
	for _, doc := range testDocuments(t) {
		if len(doc.Parts()) == 0 {
			continue
		}
		plan := NewPlan(doc)
		for range 8 {
			e := someEdit(chance, doc)
			next, err := doc.Apply(e)
			if err != nil {
				continue
			}
			after := plan.Next(next)
			if after.routes == plan.routes {
				kept++
			}
			require.Equal(t, Draw(next, Options{}), after.Draw(Options{}), "%s: %+v", doc.Title, e)
			doc, plan = next, after
		}
	}
	assert.Greater(t, kept, 10, "edits of figures leave the lines")
}

// someEdit moves a part, tells a figure of a part or of a run, names a part, bends a
// run or takes one away.
func someEdit(chance *rand.Rand, doc *components.Document) components.Edit {
	p := doc.Parts()[chance.IntN(len(doc.Parts()))]
	runs := doc.Runs()
	choice := chance.IntN(6)
	if len(runs) == 0 {
		choice %= 3
	}
	if len(p.Kind.Fields) == 0 {
		choice %= 2
	}
	switch choice {
	case 0:
		return components.MovePart{ID: p.ID, Turn: p.Turn, At: p.At.Add(components.Point{X: 10 * (chance.IntN(9) - 4), Y: 10 * (chance.IntN(9) - 4)})}
	case 1:
		e := p.Described()
		e.Name = fmt.Sprintf("Name %d", chance.IntN(1000))
		return e
	case 2:
		f := p.Kind.Fields[chance.IntN(len(p.Kind.Fields))]
		v := components.Num(float64(1 + chance.IntN(5)))
		switch f.Type {
		case components.Choice:
			v = components.Str(f.Choices[chance.IntN(len(f.Choices))])
		case components.Truth:
			v = components.Yes(chance.IntN(2) == 0)
		}
		return components.Set{On: p.ID, Key: f.Key, Value: v}
	case 3:
		return components.Set{On: runs[chance.IntN(len(runs))].ID, Key: "length_ft", Value: components.Num(float64(1 + chance.IntN(30)))}
	case 4:
		e := runs[chance.IntN(len(runs))].Rerouted()
		e.Path = nil
		return e
	}
	return components.RemoveRun{ID: runs[chance.IntN(len(runs))].ID}
}
