package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
)

// StepDowns keeps the outputs of two step-downs apart that are not made to share one.
var StepDowns = &rules.Rule{
	ID:    "supply.step-downs-in-parallel",
	Title: "Two step-downs share one output and are not made for it",
	Must:  "The outputs of two DC step-downs are joined only where both are told to be made for that (shares_output). Others do not divide the load: the one that holds the higher voltage carries all of it up to its limit, the other idles or takes current back, and when the first folds the second meets the whole load at once. Each has a fuse block of its own.",
	Basis: []rules.Basis{
		{Source: "a converter's manual, where it allows outputs in parallel", Seen: rules.Practice},
	},
	Level: rules.Violation, Stateless: true,
	Check: stepDowns,
}

func stepDowns(p *rules.Pass) {
	met := map[components.ID]bool{}
	for _, s := range p.Circuit.Sources {
		q, _ := p.Doc.Part(s.Part)
		if q.Kind != &components.DCConverter || met[q.ID] {
			continue
		}
		met[q.ID] = true
		for _, o := range p.Circuit.Feeds(s.Hot) {
			other, _ := p.Doc.Part(o.Part)
			if other.Kind != &components.DCConverter || met[other.ID] || s.Shares && o.Shares {
				continue
			}
			met[other.ID] = true
			p.Report(rules.Finding{
				At: string(q.ID), Also: []string{string(other.ID)},
				Message: fmt.Sprintf("The outputs of %s and %s are joined, and they are not told to be made for that: they do not divide the load, and the one that holds the higher voltage carries it until it folds. Give each its own circuits, or tell shares_output of both where their manual allows it", q.ID, other.ID),
				Working: []string{fmt.Sprintf("%s: %s; %s: %s; one net", q.ID, q.Kind.Rating(q.Spec), other.ID, other.Kind.Rating(other.Spec))},
				Fixes:   apart(p, other),
			})
		}
	}
}

// apart takes the positive of a step-down's output off what it shares with another.
func apart(p *rules.Pass, sd components.Part) []rules.Fix {
	var fixes []rules.Fix
	at := sd.Ref("out")
	for _, r := range p.Doc.RunsAt(at) {
		if !r.Gone() && hasCore(p.Doc, r, components.Pos) {
			fixes = append(fixes, rules.Fix{Title: fmt.Sprintf("Disconnect %s of %s from %s until it has circuits of its own", r.ID, sd.ID, r.Other(at)), Edits: []components.Edit{components.RemoveRun{ID: r.ID}}})
		}
	}
	return fixes
}
