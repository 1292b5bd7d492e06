// Package mending applies the repairs that findings propose, each tried on a copy
// first: one that leaves its finding standing, or raises a danger that was not there,
// is refused.
package mending

import (
	"context"
	"fmt"

	"rigline/components"
	"rigline/rules"
)

// Bench is a document on which findings are repaired.
type Bench struct {
	Book   []*rules.Rule
	Doc    *components.Document
	Report *rules.Report            // of Doc
	Wanted func(rules.Finding) bool // which findings to repair
}

// Trial is a document after a repair, checked, and what came of it.
type Trial struct {
	Doc     *components.Document
	Report  *rules.Report
	Cleared int      // open findings that are gone
	Refused []string // why it may not be applied: each a danger, or the finding that stays
}

// Done is a repair that was applied, with the document that it was applied to.
type Done struct {
	Of     rules.Finding
	Fix    rules.Fix
	Before *components.Document
}

// Try applies a repair to a copy and checks it. The error is that of a check that was
// ended; a repair that does not fit is refused.
func (b *Bench) Try(ctx context.Context, f rules.Finding, x rules.Fix) (Trial, error) {
	next, err := b.Doc.Apply(x.Edits...)
	if err != nil {
		return Trial{Refused: []string{"it does not fit: " + err.Error()}}, nil
	}
	after, err := rules.CheckNext(ctx, b.Report, next, b.Book)
	if err != nil {
		return Trial{}, err
	}
	t := Trial{Doc: next, Report: after}
	had, has := standing(b.Report), standing(after)
	for key := range had {
		if _, stays := has[key]; !stays {
			t.Cleared++
		}
	}
	for _, g := range after.All() {
		old, was := had[place{g.Rule, g.At}]
		switch {
		case g.Rule == f.Rule && g.At == f.At && g.Level >= f.Level:
			t.Refused = append(t.Refused, "it leaves standing: "+g.Message)
		case g.Level == rules.Danger && g.Accepted == nil && (!was || old < rules.Danger):
			t.Refused = append(t.Refused, fmt.Sprintf("it would raise a danger at %s: %s", g.At, g.Message))
		}
	}
	return t, nil
}

// place is what tells one finding from another.
type place struct {
	rule *rules.Rule
	at   string
}

// standing are the worst levels by place.
func standing(r *rules.Report) map[place]rules.Level {
	all := map[place]rules.Level{}
	for _, f := range r.All() {
		key := place{f.Rule, f.At}
		all[key] = max(all[key], f.Level)
	}
	return all
}

// most ends repairs that go round in a circle.
const most = 200

// Work applies the first repair that may be applied of each wanted finding, the worst
// first, checks again, and goes on until none is left. Doc and Report are then those of
// the repaired document. What takes a part off the drawing is left to a person.
func (b *Bench) Work(ctx context.Context) ([]Done, error) {
	var done []Done
	tried := map[string]bool{}
	for range most {
		d, err := b.next(ctx, tried)
		if err != nil || d == nil {
			return done, err
		}
		done = append(done, *d)
	}
	return done, nil
}

func (b *Bench) next(ctx context.Context, tried map[string]bool) (*Done, error) {
	for _, f := range b.Report.Findings {
		if !b.Wanted(f) {
			continue
		}
		for _, x := range f.Fixes {
			key := f.Rule.ID + "\x00" + f.At + "\x00" + x.Title
			if tried[key] || x.TakesOff {
				continue
			}
			tried[key] = true
			t, err := b.Try(ctx, f, x)
			if err != nil {
				return nil, err
			}
			if len(t.Refused) > 0 {
				continue
			}
			d := &Done{Of: f, Fix: x, Before: b.Doc}
			b.Doc, b.Report = t.Doc, t.Report
			return d, nil
		}
	}
	return nil, nil
}
