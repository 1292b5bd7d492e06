package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
)

// Feeder50 holds the conductors between a 50 A inlet and the main to the inlet.
var Feeder50 = &rules.Rule{
	ID:    "inlet.feeder-50a",
	Title: "The feeder of a 50 A inlet is too small",
	Must:  "From a 50 A inlet to the first breaker both lines and the full neutral carry 50 A, whatever the site offers today: 6 AWG copper, or 8 AWG where insulation and both ends are marked for 75 °C and the cable may use that column.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "310.16, 110.14(C), 240.4", Says: "conductors carry what the supply can give", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.44(D)", Says: "a 50 A power-supply assembly", Seen: rules.Memory},
	},
	Set:   components.USVehicle,
	Level: rules.Danger, OnePerPlace: true, Stateless: true,
	Check: func(p *rules.Pass) { inletFeeder(p, 50) },
}

// Feeder30 holds the conductors between a 30 A inlet and the main to the inlet.
var Feeder30 = &rules.Rule{
	ID:    "inlet.feeder-30a",
	Title: "The feeder of a 30 A inlet is too small",
	Must:  "From a 30 A inlet to the first breaker the conductors carry 30 A, whatever the site offers today: 10 AWG copper.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "310.16, 240.4(D)", Says: "10 AWG copper behind 30 A", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.44(C)", Says: "a 30 A power-supply assembly", Seen: rules.Memory},
	},
	Set:   components.USVehicle,
	Level: rules.Danger, OnePerPlace: true, Stateless: true,
	Check: func(p *rules.Pass) { inletFeeder(p, 30) },
}

// inletFeeder looks at what the inlet lets in, so that a rig drawn at a small site
// or at none is held to it as well. Where a drawn site gives as much, the ampacity
// rule speaks of the same run and this one is silent.
func inletFeeder(p *rules.Pass, amps float64) {
	if !p.First() {
		return
	}
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.Inlet || q.Gone() || q.Figure("rating_a").Value != amps {
			continue
		}
		for _, pole := range []components.Pole{components.L, components.L1, components.L2} {
			from, ok := p.Circuit.At(q.ID, "rig", pole)
			if !ok {
				continue
			}
			runs, _, _ := toDevices(p, from)
			for _, i := range runs {
				l := p.Circuit.Links[i]
				r, _ := p.Doc.Run(l.Run)
				holdFeeder(p, q, i, l.Core.From, r, amps)
			}
		}
	}
}

func holdFeeder(p *rules.Pass, inlet components.Part, link int, pole components.Pole, r components.Run, amps float64) {
	if r.Told("cable").Str() == "cord-shore" || suppliedAt(p, link, amps) {
		return
	}
	a, err := runAmpacity(p, r, pole)
	if err != nil {
		p.Unchecked(string(r.ID), err.Error(), string(inlet.ID))
		return
	}
	usable, working := a.Usable, a.Working
	if size, ok := r.Size(pole); ok {
		if most, capped := smallCap(p, r, size); capped && most < usable {
			usable, working = most, append(working, fmt.Sprintf("240.4(D): %s %s, not above %s A", size, r.Metal(), numText(most)))
		}
	}
	if usable >= amps {
		return
	}
	f := rules.Finding{
		At: string(r.ID), Also: []string{string(inlet.ID)},
		Message: fmt.Sprintf("%s (%s) is good for %s A, but %s lets in %s A and no breaker stands between", r.ID, r.Told("size"), numText(usable), inlet.ID, numText(amps)),
		Working: append(working, fmt.Sprintf("%s A < %s A", numText(usable), numText(amps))),
		RestsOn: a.RestsOn,
	}
	if size, ok := sizeFor(p, r, pole, amps); ok {
		f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Replace %s by %s", r.ID, size), Edits: []components.Edit{set(r.ID, "size", components.Str(size.String()))}}}
	}
	p.Report(f)
}

// suppliedAt tells whether a source feeds a link in some state with nothing below
// a current ahead of it. An adapter's link shifts the others' numbers, so the same
// core is looked for.
func suppliedAt(p *rules.Pass, link int, amps float64) bool {
	core := p.Circuit.Links[link]
	for _, s := range p.All() {
		for i, l := range s.Circuit.Links {
			if l.Run != core.Run || l.Core != core.Core {
				continue
			}
			for _, f := range s.Feeds()[i] {
				if f.LimitA >= amps && !math.IsInf(f.LimitA, 1) && s.Circuit.Terms[f.Source.Hot].Pole.Hot() {
					return true
				}
			}
		}
	}
	return false
}
