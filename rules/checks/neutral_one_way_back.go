package checks

import (
	"fmt"
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// OneWayBack finds a neutral that joins two places which are joined already.
var OneWayBack = &rules.Rule{
	ID:    "neutral.one-way-back",
	Title: "A neutral has two ways back",
	Must:  "The neutral of a circuit comes back one way, in the cable of its hot. Where a further conductor joins two neutrals that are joined already, the current divides: a ground-fault device trips, a breaker that is off leaves a neutral that carries current, and the way that was not meant for it has no breaker of its own size. Cables with their hots that pass two units side by side, and like cables between the same terminals, are left out.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "300.3(B)", Says: "all conductors of a circuit, its neutral and its ground among them, in one cable or raceway", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2023", Clause: "310.10(G)", Says: "conductors in parallel are joined at both ends, alike in length, metal and size, and 1/0 AWG or larger", Seen: rules.Published},
	},
	Level: rules.Violation, OnePerPlace: true,
	Check: oneWayBack,
}

func oneWayBack(p *rules.Pass) {
	c := p.Circuit
	up := make([]circuit.Term, len(c.Terms))
	for i := range up {
		up[i] = circuit.Term(i)
	}
	find := func(t circuit.Term) circuit.Term {
		for up[t] != t {
			up[t] = up[up[t]]
			t = up[t]
		}
		return t
	}
	var withHot, alone, inside []int
	for i := range c.Links {
		l := &c.Links[i]
		if !l.Closed || l.Bond || c.Terms[l.A].Pole != components.N || c.Terms[l.B].Pole != components.N {
			continue
		}
		if l.Run == "" {
			if q, _ := p.Doc.Part(l.Part); q.Kind.Role == components.Converts {
				inside = append(inside, i)
			} else {
				up[find(l.A)] = find(l.B)
			}
			continue
		}
		r, _ := p.Doc.Run(l.Run)
		if slices.ContainsFunc(p.Doc.CoresOf(r), func(core components.Core) bool { return core.From.Hot() }) {
			withHot = append(withHot, i)
		} else {
			alone = append(alone, i)
		}
	}
	laid := map[[2]components.PortRef]bool{}
	for n, i := range append(withHot, alone...) {
		if n == len(withHot) { // what goes with a hot may pass two units side by side
			for _, j := range inside {
				up[find(c.Links[j].A)] = find(c.Links[j].B)
			}
		}
		l := &c.Links[i]
		r, _ := p.Doc.Run(l.Run)
		a, b := find(l.A), find(l.B)
		if a == b && !laid[[2]components.PortRef{r.From, r.To}] && !laid[[2]components.PortRef{r.To, r.From}] {
			p.Report(rules.Finding{
				At: string(r.ID), Also: []string{r.From.String(), r.To.String()},
				Message: fmt.Sprintf("The neutral of %s joins %s and %s, which another neutral joins already: the current divides over both", r.ID, r.From, r.To),
				Working: []string{fmt.Sprintf("ways between the neutrals of %s and %s: 2", r.From, r.To)},
				Fixes:   withoutNeutral(p, r),
			})
		}
		up[a] = b
		laid[[2]components.PortRef{r.From, r.To}] = true
	}
}

// withoutNeutral takes the neutral out of a run, or the run where nothing is left.
func withoutNeutral(p *rules.Pass, r components.Run) []rules.Fix {
	edit := r.Rerouted()
	edit.Cores = nil
	for _, core := range p.Doc.CoresOf(r) {
		if core.From != components.N {
			edit.Cores = append(edit.Cores, core)
		}
	}
	if len(edit.Cores) == 0 {
		return []rules.Fix{{Title: fmt.Sprintf("Take %s out", r.ID), Edits: []components.Edit{components.RemoveRun{ID: r.ID}}}}
	}
	if slices.ContainsFunc(edit.Cores, func(core components.Core) bool { return core.From.Hot() }) {
		return nil // which of the two is the wrong one is for whoever drew them to tell
	}
	return []rules.Fix{{Title: fmt.Sprintf("Take the neutral out of %s", r.ID), Edits: []components.Edit{edit}}}
}
