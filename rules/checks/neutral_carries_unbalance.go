package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// CarriesUnbalance holds a neutral that runs by itself to the hots that it serves.
var CarriesUnbalance = &rules.Rule{
	ID:    "neutral.carries-unbalance",
	Title: "A neutral is smaller than its circuit asks",
	Must:  "The neutral of a circuit carries the most that any state puts on it: of two legs 240 V or 208 V apart what one of them may carry alone, of two legs in phase the sum, of one leg its breaker. No device watches a neutral.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "220.61, 310.15(E), 200.4", Says: "the neutral is sized for the largest unbalance", Seen: rules.Published},
		{Source: "a site outlet wired with both lines on one leg", Says: "puts the sum on a full-size neutral all the same; test the outlet before plugging in, nothing drawn can show it", Seen: rules.Practice},
	},
	Level: rules.Violation, OnePerPlace: true,
	Check: carriesUnbalance,
}

// carriesUnbalance looks at neutrals that have a run to themselves; those in one
// cable with their hots are as large as they, and load.in-phase-shared-neutral
// holds them to the sum.
func carriesUnbalance(p *rules.Pass) {
	for _, r := range p.Doc.Runs() {
		if r.Gone() || !hasCore(p.Doc, r, components.N) {
			continue
		}
		own := false
		for _, core := range p.Doc.CoresOf(r) {
			own = own || core.From.Hot()
		}
		if own {
			continue
		}
		need, text, ok := asked(p, r)
		if !ok {
			continue
		}
		a, err := runAmpacity(p, r, components.N)
		if err != nil {
			p.Unchecked(string(r.ID), err.Error())
			continue
		}
		if need <= a.Usable {
			continue
		}
		if next, std := standardAtLeast(a.Usable); std && next >= need {
			continue // as for the hots (240.4(B))
		}
		f := rules.Finding{
			At:      string(r.ID),
			Message: fmt.Sprintf("The neutral %s (%s) carries %s A, but %s", r.ID, r.Spec["size"], numText(a.Usable), text),
			Working: append(a.Working, fmt.Sprintf("%s A < %s A", numText(a.Usable), numText(need))),
			RestsOn: a.RestsOn,
		}
		if size, ok := sizeFor(p, r, components.N, need); ok {
			f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Replace %s by %s", r.ID, size), Edits: []components.Edit{set(r.ID, "size", components.Str(size.String()))}}}
		}
		p.Report(f)
	}
}

// asked is the most that the hots between the same two parts may put on a neutral.
func asked(p *rules.Pass, r components.Run) (need float64, text string, ok bool) {
	var hots []circuit.Term
	var limits []circuit.Feed
	for i, l := range p.Circuit.Links {
		if l.Run == "" || !l.Core.From.Hot() {
			continue
		}
		o, _ := p.Doc.Run(l.Run)
		if o.From != r.From && o.From != r.To || o.To != r.From && o.To != r.To {
			continue
		}
		most := circuit.Feed{LimitA: -1}
		for _, f := range p.Feeds()[i] {
			if f.LimitA > most.LimitA {
				most = f
			}
		}
		if most.LimitA > 0 && !math.IsInf(most.LimitA, 1) {
			hots, limits = append(hots, l.A), append(limits, most)
		}
	}
	switch {
	case len(hots) == 0 || len(hots) > 2:
		return 0, "", false
	case len(hots) == 2 && p.Circuit.PhaseOf(hots[0], hots[1]) == circuit.InPhase:
		sum := limits[0].LimitA + limits[1].LimitA
		if limits[0].Source.Part == limits[1].Source.Part {
			sum = math.Min(sum, sourceTotal(p, limits[0].Source.Part))
		}
		return sum, fmt.Sprintf("two legs in phase may put %s A on it", numText(sum)), true
	}
	most := limits[0]
	if len(limits) == 2 && limits[1].LimitA > most.LimitA {
		most = limits[1]
	}
	return most.LimitA, fmt.Sprintf("its hot stands behind %s, and nothing else protects it", most), true
}
