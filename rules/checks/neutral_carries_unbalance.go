package checks

import (
	"fmt"
	"math"
	"slices"
	"strings"

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
			need, text, ok = askedBeyond(p, r)
		}
		if !ok {
			continue
		}
		usable, working, rests, ok := neutralCarries(p, r)
		if !ok || need <= usable {
			continue
		}
		f := rules.Finding{
			At:      string(r.ID),
			Message: fmt.Sprintf("The neutral %s (%s) is good for %s A, but %s", r.ID, r.Told("size"), numText(usable), text),
			Working: append(working, fmt.Sprintf("%s A < %s A", numText(usable), numText(need))),
			RestsOn: rests,
		}
		if size, ok := sizeFor(p, r, components.N, need); ok {
			f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Replace %s by %s", r.ID, size), Edits: []components.Edit{set(r.ID, "size", components.Str(size.String()))}}}
		}
		p.Report(f)
	}
}

// neutralCarries is the largest device that may stand ahead of the hots of a neutral: as
// for the hots, the next standard rating above its ampacity (240.4(B)), within the caps
// of small conductors. Where a figure is missing it asks for it.
func neutralCarries(p *rules.Pass, r components.Run) (usable float64, working, rests []string, ok bool) {
	size, sized := r.Size(components.N)
	most, capped := 0.0, false
	if sized {
		most, capped = smallCap(p, r, size)
	}
	if tooThin(p, r, components.N) {
		return most, []string{fmt.Sprintf("240.4(D): %s, %s A", size, numText(most))}, nil, true
	}
	a, err := runAmpacity(p, r, components.N)
	if err != nil {
		p.Unchecked(string(r.ID), err.Error())
		return 0, nil, nil, false
	}
	usable = a.Usable
	if next, std := standardAtLeast(usable); std && !european(p.Doc) {
		usable = next
	}
	if capped && most < usable {
		usable = most
	}
	return usable, a.Working, a.RestsOn, true
}

// askedBeyond is the most that the loads whose current comes back over a neutral may put
// on it, by the devices ahead of them: what hangs beyond it on the side without a source.
func askedBeyond(p *rules.Pass, r components.Run) (need float64, text string, ok bool) {
	c := p.Circuit
	for i, l := range c.LinksOf(r.ID) {
		if l.Core.From != components.N || l.Core.To != components.N {
			continue
		}
		around := func(o *circuit.Link, _ circuit.Term) bool { return o.Closed && o != &c.Links[i] }
		for _, end := range []circuit.Term{l.A, l.B} {
			beyond := c.Walk(around, end).Reached()
			if beyond[l.Other(end)] || slices.ContainsFunc(c.Sources, func(s circuit.Source) bool { return beyond[s.Return] }) {
				continue
			}
			if need, text = putOn(p, beyond); need > 0 {
				return need, text, true
			}
		}
	}
	return 0, "", false
}

// putOn adds up, leg by leg, the devices ahead of the loads whose neutrals are among some
// terminals, each device once, and not above what the source gives a leg. Legs in phase
// are one; of others one alone counts.
func putOn(p *rules.Pass, neutrals map[circuit.Term]bool) (need float64, text string) {
	legs, tops := map[int]float64{}, map[int]float64{}
	seen := map[string]bool{}
	var names []string
	for _, q := range p.Doc.Parts() {
		if q.Gone() || usesPort(q) == "" || len(poles(q)) != 1 {
			continue
		}
		n, okN := p.Circuit.At(q.ID, usesPort(q), components.N)
		hot, okH := p.Circuit.At(q.ID, usesPort(q), components.L)
		if !okN || !okH || !neutrals[n] {
			continue
		}
		f, fed := loosestAhead(p, hot)
		if !fed || math.IsInf(f.LimitA, 1) {
			continue // the rules of devices and sources ask for the rating
		}
		leg := int(math.Round(f.Source.Degrees))
		at := fmt.Sprint(f.Last.Address(), leg)
		if seen[at] {
			continue
		}
		seen[at] = true
		names = append(names, f.String())
		legs[leg] += f.LimitA
		tops[leg] = math.Max(tops[leg], f.Source.LimitA)
	}
	for leg, sum := range legs {
		need = math.Max(need, math.Min(sum, tops[leg]))
	}
	return need, fmt.Sprintf("what comes back over it stands behind %s, and nothing else protects it", strings.Join(names, " and "))
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
