package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
)

// TransferRating holds relays and transfer switches to the breakers that feed them.
var TransferRating = &rules.Rule{
	ID:    "transfer.rating-not-below-feed",
	Title: "A transfer contact is rated below what feeds it",
	Must:  "A transfer switch or an inverter's transfer relay is rated, per pole, not below the breaker that feeds it from each side.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "110.3(B), 240.4, 702.5(A)", Says: "equipment within its rating", Seen: rules.Memory},
	},
	Level: rules.Danger,
	Check: transferRating,
}

func transferRating(p *rules.Pass) {
	c := p.Circuit
	worst := map[components.ID]rules.Finding{}
	over := map[components.ID]float64{}
	for i, l := range c.Links {
		if l.Part == "" || !l.Closed || !l.Join.APole.Hot() {
			continue
		}
		key := ""
		switch l.Join.When {
		case components.OnA, components.OnB:
			key = "rating_a"
		case components.Passing:
			key = "relay_a"
		default:
			continue
		}
		q, _ := p.Doc.Part(l.Part)
		rating := q.Figure(key)
		for _, f := range p.Feeds()[i] {
			if f.Source.Part == q.ID {
				continue
			}
			if !rating.Known() {
				p.Unchecked(string(q.ID), fmt.Sprintf("%s of %s is not known: read it off the device's label", key, q.ID))
				continue
			}
			if f.Unknown || math.IsInf(f.LimitA, 1) {
				p.Unchecked(string(q.ID), fmt.Sprintf("the rating of %s, which feeds %s, is not known", f, q.ID))
				continue
			}
			if f.LimitA <= rating.Value || f.LimitA <= over[q.ID] || watchedByMain(p, l.A, f, rating.Value) {
				continue
			}
			over[q.ID] = f.LimitA
			found := rules.Finding{
				At:      string(q.ID),
				Message: fmt.Sprintf("The transfer contact of %s is rated %s A, but %s feeds it", q.ID, numText(rating.Value), f),
				Working: []string{fmt.Sprintf("%s A < %s A", numText(rating.Value), numText(f.LimitA))},
			}
			if f.HasDevice() {
				found.Also = []string{f.Device.Address()}
				if fix, ok := lowerRating(p.Doc, *f.Device, rating.Value); ok {
					found.Fixes = append(found.Fixes, fix)
				}
			}
			if q.Kind == &components.TransferSwitch {
				found.Fixes = append(found.Fixes, rules.Fix{Title: fmt.Sprintf("Fit a %s A switch as %s", numText(f.LimitA), q.ID), Edits: []components.Edit{set(q.ID, key, components.Num(f.LimitA))}})
			} else {
				found.Fixes = append(found.Fixes, inputBreaker(p, q, rating.Value)...)
			}
			worst[q.ID] = found
		}
	}
	for _, q := range p.Doc.Parts() {
		if f, ok := worst[q.ID]; ok {
			p.Report(f)
		}
	}
}

// inputBreaker puts a breaker of the relay's rating ahead of an AC input.
func inputBreaker(p *rules.Pass, q components.Part, rating float64) []rules.Fix {
	ref := q.Ref("ac-in")
	runs := p.Doc.RunsAt(ref)
	if len(runs) != 1 {
		return nil
	}
	r := runs[0]
	_, at, _ := p.Doc.Port(ref)
	hots := 1.0
	if at.Has(components.L1) {
		hots = 2
	}
	breaker := components.Part{ID: p.Doc.FreeID("CB"), Kind: &components.ACBreaker, At: towards(p.Doc, ref, r.Other(ref)),
		Spec: components.Spec{"rating_a": components.Num(rating), "hots": components.Num(hots)}}
	line, load := "line", "load"
	if r.From == ref {
		line, load = load, line
	}
	_, far, _ := p.Doc.Port(r.Other(ref))
	if far.Has(components.L) != at.Has(components.L) {
		return nil // the run changes poles on the way: a breaker cannot stand in it as drawn
	}
	return []rules.Fix{{Title: fmt.Sprintf("Put a %s A breaker ahead of %s", numText(rating), q.ID), Edits: insert(p.Doc, r, breaker, line, load, 1)}}
}
