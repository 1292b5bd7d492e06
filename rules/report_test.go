package rules

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
)

// told makes a rule that tells what it is given, in the first state.
func told(id string, level Level, explains []string, findings ...Finding) *Rule {
	return &Rule{ID: id, Level: level, Explains: explains, Check: func(p *Pass) {
		if p.First() {
			for _, f := range findings {
				p.Report(f)
			}
		}
	}}
}

func run(t *testing.T, doc *components.Document, book ...*Rule) *Report {
	t.Helper()
	r, err := Check(context.Background(), doc, book)
	require.NoError(t, err)
	return r
}

// The figure whose answer could uncover the worst is asked first, then the one
// that most checks wait for; two checks that want one figure are one question.
func TestQuestionsAreRanked(t *testing.T) {
	ask := func(at, message string) Finding { return Finding{At: at, Message: message, Unchecked: true} }
	r := run(t, components.NewDocument("rig"),
		told("a.advice", Advice, nil, ask("W1", "the length of W1 is not known: measure")),
		told("b.violation", Violation, nil, ask("W2", "the length of W2, from BAT1 to F1, is not known: measure"), ask("W3", "size of W3 is not known, so nothing is")),
		told("c.violation", Violation, nil, ask("W2", "the length of W2, between BAT1 and F1, is not known: measure along it")),
		told("d.danger", Danger, nil, ask("BAT1", "whether the neutral of GEN1 is bonded is unknown: measure")))
	var asked []string
	for _, q := range r.Questions() {
		asked = append(asked, q.Asks)
	}
	assert.Equal(t, []string{"whether the neutral of GEN1 is bonded", "the length of W2", "size of W3", "the length of W1"}, asked)
	assert.Equal(t, []string{"b.violation", "c.violation"}, r.Questions()[1].Rules)
	assert.Equal(t, "BAT1", r.Unchecked[0].At, "the list follows the questions")
	assert.Len(t, r.Unchecked, 5)
}

// What follows from a cause stands behind it: at a shared address, in a shared
// state, no worse than the cause, and only while the cause is open.
func TestConsequencesStandBehindTheirCause(t *testing.T) {
	cause := told("x.cause", Violation, []string{"x.effect"}, Finding{At: "F1", Also: []string{"W1"}, Message: "cause"})
	effect := func(level Level, at string) *Rule {
		return told("x.effect", level, nil, Finding{At: at, Message: "effect"})
	}
	for _, c := range []struct {
		name   string
		effect *Rule
		hidden bool
	}{
		{"at a shared address", effect(Violation, "W1"), true},
		{"elsewhere", effect(Violation, "W2"), false},
		{"worse than the cause", effect(Danger, "W1"), false},
		{"another rule", told("x.other", Advice, nil, Finding{At: "W1", Message: "other"}), false},
	} {
		r := run(t, components.NewDocument("rig"), cause, c.effect)
		if c.hidden {
			require.Len(t, r.Findings, 1, c.name)
			assert.Len(t, r.Findings[0].Behind, 1, c.name)
		} else {
			assert.Len(t, r.Findings, 2, c.name)
		}
		assert.Len(t, r.All(), 2, c.name)
	}
	doc, err := components.NewDocument("rig").Apply(components.Accept{Acceptance: components.Acceptance{Rule: "x.cause", On: []string{"F1"}, Reason: "seen"}})
	require.NoError(t, err)
	assert.Len(t, run(t, doc, cause, effect(Violation, "W1")).Findings, 2, "an accepted cause hides nothing")
}
