package checks

import (
	"fmt"
	"math"
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// InPhaseNeutral finds a neutral that two legs share while they are in phase.
var InPhaseNeutral = &rules.Rule{
	ID:    "load.in-phase-shared-neutral",
	Title: "A shared neutral carries the sum of two legs in phase",
	Must:  "A neutral that circuits in phase share is not asked for more than it carries: it takes their sum, and no breaker watches it. Two circuits of one leg are in phase always, those of two legs where a state feeds both legs from one.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "210.4(A), 710.15(C), 240.4, Article 100 (multiwire branch circuit)", Says: "no multiwire circuits on a single 120 V supply", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2023", Clause: "220.61, 310.15(E)", Says: "the neutral carries the largest unbalance", Seen: rules.Published},
	},
	Level: rules.Danger, OnePerPlace: true,
	Check: inPhaseNeutral,
}

func inPhaseNeutral(p *rules.Pass) {
	if p.First() {
		unknownLegs(p)
	}
	told := map[components.ID]bool{}
	for _, s := range sharedNeutrals(p) {
		sharedSum(p, s)
		told[s.Run.ID] = true
	}
	for _, r := range p.Doc.Runs() {
		if r.Gone() || told[r.ID] {
			continue
		}
		var hots []int
		neutral := -1
		for i, l := range p.Circuit.LinksOf(r.ID) {
			switch {
			case l.Core.From.Hot():
				hots = append(hots, i)
			case l.Core.From == components.N:
				neutral = i
			}
		}
		switch {
		case neutral < 0 || endsAtTwoHotLoad(p, r):
		case len(hots) == 2 && p.Circuit.PhaseOf(p.Circuit.Links[hots[0]].A, p.Circuit.Links[hots[1]].A) == circuit.InPhase:
			possibleSum(p, r, hots, nil)
		default:
			solvedNeutral(p, r, hots, neutral)
		}
	}
}

// sharedSum holds the neutral that several circuits share, each with its own cable, to
// what those of them let through that are in phase.
func sharedSum(p *rules.Pass, s shared) {
	var hots []int
	for _, b := range s.Of {
		hots = append(hots, hotsOf(p, b)...)
	}
	for k, of := range hots {
		together := slices.DeleteFunc(slices.Clone(hots), func(i int) bool {
			return p.Circuit.PhaseOf(p.Circuit.Links[of].A, p.Circuit.Links[i].A) != circuit.InPhase
		})
		if len(together) > 1 && together[0] == hots[k] {
			possibleSum(p, s.Run, together, &s)
		}
	}
}

// hotsOf are the links that take a circuit's hot out.
func hotsOf(p *rules.Pass, b origin) (hots []int) {
	for _, r := range p.Doc.RunsAt(b.Part.Ref(b.Port)) {
		for i, l := range p.Circuit.LinksOf(r.ID) {
			if l.Core.From.Hot() {
				hots = append(hots, i)
				break
			}
		}
	}
	return hots
}

// possibleSum holds a neutral to what the breakers of its hots let through; by names
// the circuits that share it, where they have cables of their own.
func possibleSum(p *rules.Pass, r components.Run, hots []int, by *shared) {
	type leg struct {
		limit float64
		text  string
	}
	bySource := map[components.ID][]leg{}
	limits := map[components.ID]float64{}
	from := map[circuit.Term]bool{}
	for _, i := range hots {
		for _, f := range p.Feeds()[i] {
			bySource[f.Source.Part] = append(bySource[f.Source.Part], leg{f.LimitA, f.String()})
			if !from[f.Source.Hot] { // both hots may come from one of its legs
				from[f.Source.Hot] = true
				limits[f.Source.Part] += f.Source.LimitA
			}
		}
	}
	for src, legs := range bySource {
		sum := 0.0
		working := []string{}
		for _, l := range legs {
			sum += l.limit
			working = append(working, "leg behind "+l.text)
		}
		if total := limits[src]; total < sum {
			sum = total
			working = append(working, fmt.Sprintf("%s gives %s A in all", src, numText(total)))
		}
		if math.IsInf(sum, 1) {
			p.Unchecked(string(r.ID), fmt.Sprintf("the breakers ahead of %s are not known, so the current of its neutral is not", r.ID))
			continue
		}
		a, err := runAmpacity(p, r, components.N)
		if listedSet(p, r) {
			continue
		}
		if err != nil {
			p.Unchecked(string(r.ID), err.Error())
			continue
		}
		if sum <= a.Usable {
			continue
		}
		f := rules.Finding{
			At: string(r.ID), Also: []string{string(src)},
			Message: fmt.Sprintf("While %s feeds both legs in phase, the neutral of %s can carry %s A; it is good for %s A and no breaker watches it", src, r.ID, numText(sum), numText(a.Usable)),
			Working: append(append(working, a.Working...), fmt.Sprintf("sum of the legs %s A > %s A", numText(sum), numText(a.Usable))),
		}
		if by != nil {
			f.Message = fmt.Sprintf("%s share a neutral and are in phase on %s: %s can carry %s A of it; it is good for %s A and no breaker watches it", by.names(), src, r.ID, numText(sum), numText(a.Usable))
			for _, b := range by.Of {
				f.Also = append(f.Also, b.address())
				if borrowed(p, b) {
					f.Fixes = append(f.Fixes, ownNeutralFor(p, b)...)
				}
			}
		}
		if size, ok := sizeFor(p, r, components.N, sum); ok {
			f.Fixes = append(f.Fixes, rules.Fix{Title: fmt.Sprintf("Replace %s by %s", r.ID, size), Edits: []components.Edit{set(r.ID, "size", components.Str(size.String()))}})
		}
		p.Report(f)
	}
}

// sourceTotal is what a source gives on all its hots together.
func sourceTotal(p *rules.Pass, id components.ID) float64 {
	total := 0.0
	for _, s := range p.Circuit.Sources {
		if s.Part == id && p.Circuit.Terms[s.Hot].Pole.Hot() {
			total += s.LimitA
		}
	}
	return total
}

// solvedNeutral holds any other neutral to the current that the state puts on it.
// Where a hot of the same run carries as much, that hot's breaker watches both.
func solvedNeutral(p *rules.Pass, r components.Run, hots []int, link int) {
	amps, ok := p.Solution().Amps(link)
	if !ok || p.Solution().Failure != nil || amps < 1 {
		return
	}
	for _, i := range hots {
		if hot, ok := p.Solution().Amps(i); ok && amps <= hot*1.001 {
			return
		}
	}
	a, err := runAmpacity(p, r, components.N)
	if err != nil || amps <= a.Usable*1.001 || listedSet(p, r) {
		return // an unknown size is asked for by the ampacity rule
	}
	f := rules.Finding{
		At: string(r.ID), Level: rules.Danger,
		Message: fmt.Sprintf("The neutral of %s carries %s A with everything on; it is good for %s A and no breaker watches it", r.ID, numText(amps), numText(a.Usable)),
		Working: append(a.Working, fmt.Sprintf("solved neutral current %s A > %s A", numText(amps), numText(a.Usable))),
	}
	if size, ok := sizeFor(p, r, components.N, amps); ok {
		f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Replace %s by %s", r.ID, size), Edits: []components.Edit{set(r.ID, "size", components.Str(size.String()))}}}
	}
	p.Report(f)
}

// endsAtTwoHotLoad tells whether a run feeds one load across the legs, whose
// neutral, if it has one, carries nothing.
func endsAtTwoHotLoad(p *rules.Pass, r components.Run) bool {
	from, to := endsOf(p, r)
	for _, end := range []components.PortRef{from, to} {
		if q, _ := p.Doc.Part(end.Part); q.Kind == &components.ACLoad && q.Figure("hots").Value == 2 {
			return true
		}
	}
	return false
}

// unknownLegs asks on which leg a circuit of a two-leg panel hangs: what a shared
// neutral carries follows from it.
func unknownLegs(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.Panel || q.Gone() || q.Figure("legs").Value != 2 {
			continue
		}
		for i, c := range q.Rows("circuits") {
			if !c["leg"].Known() {
				p.Unchecked(fmt.Sprintf("%s.c%d", q.ID, i+1), fmt.Sprintf("the leg of circuit %d of %s is not told and was taken as L1: measure hot to hot against a circuit whose leg you know", i+1, q.ID))
			}
		}
	}
}
