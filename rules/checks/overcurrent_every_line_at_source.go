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

// EveryLine asks for an overcurrent device between every source and every load.
var EveryLine = &rules.Rule{
	ID:    "overcurrent.every-line-at-source",
	Title: "No fuse or breaker between a source and a load",
	Must:  "In every state each hot passes a fuse or breaker of the vehicle before it reaches a load or an outlet. An inverter's electronic limit and the breaker of a site are none. That the device also suits each conductor is for conductor.ampacity-covers-overcurrent.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "240.15(A), 240.21", Says: "a device in each ungrounded conductor, where it receives its supply", Seen: rules.Memory},
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.31(A)", Says: "the same for an on-board alternate source", Seen: rules.Memory},
		{Source: "UL 458 (2015)", Says: "protection rated for branch circuits exists in the output circuit", Seen: rules.Published},
	},
	Level: rules.Violation,
	Check: everyLine,
}

func everyLine(p *rules.Pass) {
	bare := map[components.ID][]string{}
	for _, q := range p.Doc.Parts() {
		if q.Gone() || usesPort(q) == "" {
			continue
		}
		told := map[components.ID]bool{}
		for _, pole := range poles(q) {
			t, ok := p.Circuit.At(q.ID, usesPort(q), pole)
			if !ok {
				continue
			}
			for _, i := range p.Circuit.LinksAt(t) {
				for _, f := range p.Feeds()[int(i)] {
					if f.Last.Part == "" && !told[f.Source.Part] {
						told[f.Source.Part] = true
						bare[f.Source.Part] = append(bare[f.Source.Part], string(q.ID))
					}
				}
			}
		}
	}
	for _, src := range p.Doc.Parts() {
		loads := bare[src.ID]
		switch {
		case len(loads) == 0 || src.Kind == &components.Generator: // generator.feeder-protection
		case src.Kind == &components.Shore:
			p.Report(rules.Finding{
				At: string(src.ID), Also: loads,
				Message: fmt.Sprintf("Only the site's breaker stands ahead of %s: the vehicle has none of its own there", strings.Join(loads, ", ")),
				Working: []string{fmt.Sprintf("devices of the vehicle from %s to %s: 0", src.ID, loads[0])},
				Fixes:   breakerAtInlets(p),
			})
		default:
			bareInverter(p, src, loads)
		}
	}
	unknownInverter(p)
}

func breakerAtInlets(p *rules.Pass) []rules.Fix {
	for _, q := range p.Doc.Parts() {
		if q.Kind == &components.Inlet && !q.Gone() {
			return mainAtInlet(p, q)
		}
	}
	return nil
}

func bareInverter(p *rules.Pass, inv components.Part, loads []string) {
	if own := inv.Figure("output_breaker_a"); own.Known() {
		return
	}
	f := rules.Finding{
		At: string(inv.ID), Also: loads,
		Message: fmt.Sprintf("%s feeds %s over no fuse or breaker: its electronics limit the current, but they are no overcurrent device", inv.ID, strings.Join(loads, ", ")),
		Working: []string{fmt.Sprintf("devices from %s.ac-out to %s: 0", inv.ID, loads[0])},
	}
	for _, r := range p.Doc.RunsAt(inv.Ref("ac-out")) {
		if most, ok := deviceFor(p, r); ok && leadsBare(p, inv, r, loads) {
			f.Fixes = append(f.Fixes, outputBreaker(p, inv, r, most)...)
		}
	}
	p.Report(f)
}

// leadsBare tells whether a run takes an inverter's output to one of the loads
// without a device on the way.
func leadsBare(p *rules.Pass, inv components.Part, r components.Run, loads []string) bool {
	for _, core := range p.Doc.CoresOf(r) {
		pole, far := core.To, r.To
		if r.To == inv.Ref("ac-out") {
			pole, far = core.From, r.From
		}
		from, ok := p.Circuit.Term(far.At(pole))
		if !ok || !pole.Hot() {
			continue
		}
		for t := range joined(p.Circuit, from, func(l *circuit.Link) bool { return !l.Protects() && l.Part != inv.ID && l.Run != r.ID }) {
			if slices.Contains(loads, string(p.Circuit.Terms[t].Part)) {
				return true
			}
		}
	}
	return false
}

// deviceFor is the most that a device ahead of an AC run may be, in A.
func deviceFor(p *rules.Pass, r components.Run) (float64, bool) {
	for _, core := range p.Doc.CoresOf(r) {
		if !core.From.Hot() {
			continue
		}
		a, err := runAmpacity(p, r, core.From)
		if err != nil {
			return 0, false
		}
		most := a.Usable
		if size, ok := r.Size(core.From); ok {
			if c, capped := smallCap(p, r, size); capped {
				most = math.Min(most, c)
			}
		}
		return most, true
	}
	return 0, false
}

// unknownInverter asks for the power of an inverter whose output nothing limits
// that is known.
func unknownInverter(p *rules.Pass) {
	for _, src := range p.Circuit.Sources {
		if p.Circuit.Positions[src.Part] == circuit.Inverting && math.IsInf(src.LimitA, 1) {
			p.Unchecked(string(src.Part), fmt.Sprintf("continuous_va of %s is not known, so what its cables must carry is not: read its label", src.Part))
		}
	}
}
