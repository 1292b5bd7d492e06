package command

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
	"rigline/rules"
)

// rated makes a rule that speaks of F1 where its rating is out of bounds and
// proposes others.
func rated(id string, level rules.Level, wrong func(a float64) bool, propose ...float64) *rules.Rule {
	return &rules.Rule{ID: id, Level: level, Check: func(p *rules.Pass) {
		f1, _ := p.Doc.Part("F1")
		if !wrong(f1.Figure("rating_a").Value) {
			return
		}
		f := rules.Finding{At: "F1", Message: id}
		for _, a := range propose {
			e := components.Set{On: "F1", Key: "rating_a", Value: components.Num(a)}
			f.Fixes = append(f.Fixes, rules.Fix{Title: e.String(), Edits: []components.Edit{e}})
		}
		p.Report(f)
	}}
}

func at(t *testing.T, book []*rules.Rule, rating string) *workshop {
	t.Helper()
	doc, _, err := projects.Read("rig.yaml", []byte(`format: rigline/1
title: t
parts:
  - {id: F1, kind: fuse, at: [0, 0], spec: {family: class-t, rating_a: `+rating+`}}
`))
	require.NoError(t, err)
	r, err := rules.Check(context.Background(), doc, book)
	require.NoError(t, err)
	return &workshop{book: book, doc: doc, report: r}
}

func TestRepairsThatMakeItWorseAreRefused(t *testing.T) {
	high := rated("high", rules.Violation, func(a float64) bool { return a > 100 }, 20, 150, 80)
	low := rated("low", rules.Danger, func(a float64) bool { return a < 60 })
	w := at(t, []*rules.Rule{high, low}, "200")
	f := w.report.Findings[0]

	danger, err := w.try(f, f.Fixes[0])
	require.NoError(t, err)
	assert.Equal(t, []string{"it would raise a danger at F1: low"}, danger.refused)
	stands, err := w.try(f, f.Fixes[1])
	require.NoError(t, err)
	assert.Equal(t, []string{"it leaves standing: high"}, stands.refused)

	done, err := w.work()
	require.NoError(t, err)
	require.Len(t, done, 1, "the third repair serves")
	assert.Equal(t, []string{"Set rating_a of F1 to 80 (was 200)"}, done[0].Edits)
	assert.Empty(t, w.report.Findings)
}

func TestRepairsInACircleEnd(t *testing.T) {
	up := rated("up", rules.Violation, func(a float64) bool { return a < 100 }, 150)
	down := rated("down", rules.Violation, func(a float64) bool { return a > 100 }, 50)
	w := at(t, []*rules.Rule{up, down}, "50")
	done, err := w.work()
	require.NoError(t, err)
	assert.Len(t, done, 2, "each repair is tried once")
	assert.NotEmpty(t, w.report.Findings)
}

func TestAdviceAndAcceptedAreLeft(t *testing.T) {
	book := []*rules.Rule{rated("tip", rules.Advice, func(a float64) bool { return a > 100 }, 80)}
	w := at(t, book, "200")
	done, err := w.work()
	require.NoError(t, err)
	assert.Empty(t, done)
	w.advice = true
	w.report.Findings[0].Accepted = &components.Acceptance{Reason: "measured"}
	done, err = w.work()
	require.NoError(t, err)
	assert.Empty(t, done)
	w.report.Findings[0].Accepted = nil
	done, err = w.work()
	require.NoError(t, err)
	assert.Len(t, done, 1)
}

func TestWas(t *testing.T) {
	w := at(t, nil, "unknown")
	set := func(key string, v components.Value) string {
		return was(w.doc, components.Set{On: "F1", Key: key, Value: v})
	}
	assert.Equal(t, "Set rating_a of F1 to 80 (was unknown)", set("rating_a", components.Num(80)))
	assert.Equal(t, "Set volts_dc of F1 to 80 (was not told)", set("volts_dc", components.Num(80)))
	assert.Equal(t, "Set pole of F1 to - (was + by default)", set("pole", components.Str("-")))
	assert.Equal(t, "Remove F1", was(w.doc, components.RemovePart{ID: "F1"}))
}
