package mending

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

func at(t *testing.T, book []*rules.Rule, rating string) *Bench {
	t.Helper()
	doc, _, err := projects.Read("rig.yaml", []byte(`format: rigline/1
title: t
parts:
  - {id: F1, kind: fuse, at: [0, 0], spec: {family: class-t, rating_a: `+rating+`}}
`))
	require.NoError(t, err)
	r, err := rules.Check(context.Background(), doc, book)
	require.NoError(t, err)
	return &Bench{Book: book, Doc: doc, Report: r, Wanted: func(rules.Finding) bool { return true }}
}

func TestRepairsThatMakeItWorseAreRefused(t *testing.T) {
	high := rated("high", rules.Violation, func(a float64) bool { return a > 100 }, 20, 150, 80)
	low := rated("low", rules.Danger, func(a float64) bool { return a < 60 })
	w := at(t, []*rules.Rule{high, low}, "200")
	f := w.Report.Findings[0]

	danger, err := w.Try(context.Background(), f, f.Fixes[0])
	require.NoError(t, err)
	assert.Equal(t, []string{"it would raise a danger at F1: low"}, danger.Refused)
	stands, err := w.Try(context.Background(), f, f.Fixes[1])
	require.NoError(t, err)
	assert.Equal(t, []string{"it leaves standing: high"}, stands.Refused)

	done, err := w.Work(context.Background())
	require.NoError(t, err)
	require.Len(t, done, 1, "the third repair serves")
	assert.Equal(t, "Set rating_a of F1 to 80", done[0].Fix.Title)
	was, _ := done[0].Before.Part("F1")
	assert.Equal(t, 200.0, was.Figure("rating_a").Value)
	assert.Empty(t, w.Report.Findings)
}

func TestRepairsInACircleEnd(t *testing.T) {
	up := rated("up", rules.Violation, func(a float64) bool { return a < 100 }, 150)
	down := rated("down", rules.Violation, func(a float64) bool { return a > 100 }, 50)
	w := at(t, []*rules.Rule{up, down}, "50")
	done, err := w.Work(context.Background())
	require.NoError(t, err)
	assert.Len(t, done, 2, "each repair is tried once")
	assert.NotEmpty(t, w.Report.Findings)
}

// A finding also goes where its part is taken off the drawing: that is for a person to
// choose, and tried like any other where they do.
func TestNothingIsTakenOffByARoundOfRepairs(t *testing.T) {
	dead := &rules.Rule{ID: "dead", Level: rules.Violation, Check: func(p *rules.Pass) {
		if f1, ok := p.Doc.Part("F1"); ok && f1.Figure("rating_a").Value > 100 {
			p.Report(rules.Finding{At: "F1", Message: "dead", Fixes: []rules.Fix{{Title: "Take F1 off", Edits: p.Doc.Delete("F1"), TakesOff: true}}})
		}
	}}
	w := at(t, []*rules.Rule{dead}, "200")
	done, err := w.Work(context.Background())
	require.NoError(t, err)
	assert.Empty(t, done)
	_, there := w.Doc.Part("F1")
	assert.True(t, there)

	f := w.Report.Findings[0]
	chosen, err := w.Try(context.Background(), f, f.Fixes[0])
	require.NoError(t, err)
	assert.Empty(t, chosen.Refused)
	_, there = chosen.Doc.Part("F1")
	assert.False(t, there)
}
