package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// InputBreaker asks for a breaker ahead of an inverter/charger's AC input.
var InputBreaker = &rules.Rule{
	ID:    "inverter.input-breaker",
	Title: "The inverter's AC input has no breaker that fits it",
	Must:  "The AC input of an inverter/charger has a breaker in the vehicle, not above the input's rating. Its transfer relay and its cable are held to the same breaker by transfer.rating-not-below-feed and conductor.ampacity-covers-overcurrent.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "110.3(B), 240.4; 551.43", Says: "equipment behind the protection that its maker gives", Seen: rules.Memory},
	},
	Level: rules.Danger,
	Check: inputBreakers,
}

func inputBreakers(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.InverterCharger || q.Gone() || p.Circuit.Positions[q.ID] != circuit.Passing {
			continue
		}
		ahead, ok := aheadOfInput(p, q)
		if !ok {
			continue
		}
		rating := q.Figure("input_a")
		askMarked(p, q, "input_a", fmt.Sprintf("whether it suits %s, which feeds it, is not: read the AC input current off its label", ahead))
		src, _ := p.Doc.Part(ahead.Source.Part)
		own := ahead.Last.Part != "" || src.Kind == &components.Generator && src.Is("output_breaker")
		switch {
		case rating.Known() && ahead.LimitA > rating.Value && !math.IsInf(ahead.LimitA, 1):
			f := rules.Finding{
				At:      string(q.ID),
				Message: fmt.Sprintf("The AC input of %s is rated %s A, but %s protects it", q.ID, numText(rating.Value), ahead),
				Working: []string{fmt.Sprintf("%s A < %s A", numText(rating.Value), numText(ahead.LimitA))},
				Fixes:   inputBreaker(p, q, rating.Value),
			}
			if ahead.HasDevice() {
				f.Also = []string{ahead.Device.Address()}
			}
			p.Report(f)
		case !own:
			f := rules.Finding{
				At: string(q.ID), Level: rules.Violation,
				Message: fmt.Sprintf("No breaker in the vehicle stands ahead of the AC input of %s: only %s protects it, and nothing on board cuts it off", q.ID, ahead),
				Working: []string{fmt.Sprintf("breakers on the way from %s to %s: 0", ahead.Source.Part, q.ID)},
			}
			if most, known := inputMost(q); known {
				f.Fixes = inputBreaker(p, q, most)
			}
			p.Report(f)
		}
	}
}

// aheadOfInput is the loosest protection ahead of an inverter/charger's AC input.
func aheadOfInput(p *rules.Pass, q components.Part) (circuit.Feed, bool) {
	var ahead circuit.Feed
	found := false
	for _, pole := range []components.Pole{components.L, components.L1, components.L2} {
		t, ok := p.Circuit.At(q.ID, "ac-in", pole)
		if !ok {
			continue
		}
		for _, i := range p.Circuit.LinksAt(t) {
			if p.Circuit.Links[i].Part == q.ID {
				continue
			}
			for _, f := range p.Feeds()[int(i)] {
				if f.Source.Part != q.ID && f.Enters != t && (!found || f.LimitA > ahead.LimitA) {
					ahead, found = f, true
				}
			}
		}
	}
	return ahead, found
}

// inputMost is the largest breaker that an input's rating and relay allow.
func inputMost(q components.Part) (float64, bool) {
	most, known := math.Inf(1), false
	for _, key := range []string{"input_a", "relay_a"} {
		if f := q.Figure(key); f.Known() {
			most, known = min(most, f.Value), true
		}
	}
	if !known {
		return 0, false
	}
	return breakerAtMost(most)
}
