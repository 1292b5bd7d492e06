package solve

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
	"rigline/rules/circuit"
)

// A load of every sample in turn keeps its current to itself: what stays open is what its
// current, once told, flows through, by Kirchhoff and the two solutions' difference.
func TestTheLinksOfACurrentThatIsNotTold(t *testing.T) {
	tried := 0
	for _, sample := range projects.Samples() {
		doc := sample.Document()
		demand := func(doc *components.Document) (Demand, *circuit.Circuit) {
			c := circuit.Lay(doc).In(doc.Operating()[0])
			return Solve(c).FullDemand(), c
		}
		told, _ := demand(doc)
		for _, p := range doc.Parts() {
			if p.Kind != &components.DCLoad || !p.Figure("a").Known() || p.Gone() {
				continue
			}
			silent, err := doc.Apply(components.Set{On: p.ID, Key: "a", Value: components.Unknown})
			require.NoError(t, err)
			d, c := demand(silent)
			require.NotNil(t, d.Open, p.ID)
			for i := range c.Links {
				if told.Missing[p.ID] == "" && len(told.Missing) == 0 {
					differs := math.Abs(told.Drawing.Amps(i)-d.Drawing.Amps(i)) > 1e-5
					assert.Equal(t, differs, d.Open[i], "%s: %s at %s", sample.Name, p.ID, c.Links[i].Address())
				}
			}
			tried++
		}
		if len(told.Missing) == 0 {
			assert.Nil(t, told.Open, sample.Name)
		}
	}
	assert.Greater(t, tried, 5)
}
