package session

import (
	"github.com/stretchr/testify/require"
	"rigline/projects"
	"testing"

	"github.com/stretchr/testify/assert"

	"rigline/components"
	"rigline/rules"
)

// The words of a check lead to the part or run that they name and to the figure
// that nobody has told.
func TestWordsLeadToTheFigure(t *testing.T) {
	b := newBench(t)
	b.place("battery", 200, 600)
	b.place("fuse", 300, 400)
	b.place("inverter-charger", 600, 200)
	b.connect("BAT1.pos", "F1.line")
	for _, c := range []struct {
		at, says string
		id       components.ID
		key      string
	}{
		{"F1", "chemistry, nominal_v, capacity_ah of BAT1 is not known, so its short-circuit current is not: read the battery's label", "BAT1", "chemistry"},
		{"W1", "the length of W1, between BAT1 and F1, is not known: measure along the cable (18 in is the limit)", "W1", "length_ft"},
		{"INV1", "input_limit_a of INV1 is not told, and the site's 30 A breaker feeds it: read the setting", "INV1", "input_limit_a"},
		{"INV1", "the size of the case ground W1 is not known", "W1", "size"},
		{"F1", "the rating of F1 is not known, so W1 cannot be checked: read it off the device", "F1", "rating_a"},
		{"F1", "something else", "F1", ""},
	} {
		id, key := b.Asked(rules.Finding{At: c.at, Message: c.says, Unchecked: true})
		assert.Equal(t, c.id, id, c.says)
		assert.Equal(t, c.key, key, c.says)
	}
}

// Where one sentence asks for the figures of several runs, each is asked for.
func TestEveryFigureThatASentenceNamesIsAskedFor(t *testing.T) {
	b := newBench(t)
	b.forget("W1", "W2", "W3")
	var lengths []components.ID
	for _, l := range b.Lacks() {
		if l.Field != nil && l.Field.Key == "length_ft" {
			lengths = append(lengths, l.On)
		}
	}
	assert.Equal(t, []components.ID{"W1", "W2", "W3"}, lengths)
}

// The step to the next figure, and the step back, leave none out and go to none
// twice, though the sentence that asks for it changes with every figure told.
func TestStepsLeaveNoMissingFigureOut(t *testing.T) {
	for _, by := range []int{1, -1} {
		b := newBench(t)
		b.forget("W1", "W2", "W3", "W4")
		want := len(b.Lacks())
		require.GreaterOrEqual(t, want, 4)
		seen := map[components.ID]int{}
		for range len(b.report().Findings) + want {
			b.StepFinding(by)
			if on := b.Missed().On; on != "" {
				seen[on]++
				require.Equal(t, "length_ft", b.Missed().Field.Key, b.Missed().Says)
				f, _ := components.RunField("length_ft")
				require.NoError(t, b.SetField(on, f, components.Num(5)))
				b.settle()
				if len(b.Lacks()) == 0 {
					break
				}
			}
		}
		assert.Empty(t, b.Lacks(), "%v by %d", seen, by)
		for _, id := range []components.ID{"W1", "W2", "W3", "W4"} {
			assert.Equal(t, 1, seen[id], "%s by %d", id, by)
		}
	}
}

// A step that is asked for while the check runs is gone as soon as it is done.
func TestAStepWaitsForTheCheck(t *testing.T) {
	b := newBench(t)
	b.forget("W1")
	f, _ := components.RunField("length_ft")
	b.StepFinding(1)
	for b.Missed().On == "" {
		b.StepFinding(1)
	}
	b.forgetOnly("W2")
	b.StepFinding(1)
	b.settle()
	assert.Equal(t, components.ID("W2"), b.Missed().On)
	require.NoError(t, b.SetField("W2", f, components.Num(5)))
	b.settle()
}

// forget opens a sample without the lengths of some runs.
func (b *bench) forget(ids ...components.ID) {
	b.t.Helper()
	van, ok := projects.FindSample("camper-van")
	require.True(b.t, ok)
	b.Start(van.Document())
	b.forgetOnly(ids...)
	b.settle()
}

func (b *bench) forgetOnly(ids ...components.ID) {
	for _, id := range ids {
		require.NoError(b.t, b.Do("Forget", components.Set{On: id, Key: "length_ft", Value: components.Unknown}))
	}
}

func (b *bench) report() *rules.Report { r, _ := b.Report(); return r }
