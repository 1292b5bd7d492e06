package solve

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
	"rigline/rules/circuit"
)

// A what-if out of the factored network tells what the changed circuit solved
// anew tells: every open core, every bond and every blown device of the samples.
func TestAgainIsAsAnew(t *testing.T) {
	reused, anew := 0, 0
	for _, sample := range projects.Samples() {
		doc := sample.Document()
		for _, st := range doc.Operating() {
			c := circuit.Build(doc, st)
			for _, change := range faults(c) {
				changed, err := c.After(change)
				if err != nil {
					continue
				}
				before := SolveWith(c, Options{LoadsAsImpedance: true})
				if before.Failure != nil {
					continue
				}
				got, ok := before.again(changed)
				if !ok {
					anew++
					continue
				}
				reused++
				want := SolveWith(changed, Options{LoadsAsImpedance: true})
				require.Equal(t, want.Failure == nil, got.Failure == nil, "%s %s", sample.Name, st.Name)
				for i := range changed.Links {
					a, okA := want.Amps(i)
					b, okB := got.Amps(i)
					require.Equal(t, okA, okB)
					assert.InDelta(t, a, b, 1e-4, "%s %s %s", sample.Name, st.Name, changed.Links[i].Address())
				}
			}
		}
	}
	assert.Greater(t, reused, anew, "the factors serve most of them")
	t.Logf("%d out of the factors, %d anew", reused, anew)
}

// faults are one of each kind for everything that can have it.
func faults(c *circuit.Circuit) []circuit.Change {
	var all []circuit.Change
	for _, r := range c.Doc.Runs() {
		for _, p := range []components.Pole{components.N, components.L1, components.Pos} {
			all = append(all, circuit.OpenCore(r.ID, p))
		}
	}
	for _, p := range c.Doc.Parts() {
		all = append(all, circuit.ExtraBond(p.ID), circuit.Blow(p.ID, ""), circuit.LoseString(p.ID))
	}
	return all
}
