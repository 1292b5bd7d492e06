package checks

import (
	"fmt"
	"math"
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// Unsolved tells a state whose network has no solution.
var Unsolved = &rules.Rule{
	ID:    "supply.cannot-carry",
	Title: "A state cannot run as drawn",
	Must:  "In every state the sources carry what is switched on, and a step-down the loads behind it. A state whose reckoning comes to no end is told as unchecked.",
	Basis: []rules.Basis{{Source: "Ohm's and Kirchhoff's laws, constant-power loads", Says: "the solved network", Seen: rules.Published}},
	Level: rules.Violation,
	Check: func(p *rules.Pass) {
		f := p.Solution().Failure
		if overloadedStepDowns(p) || f == nil {
			return
		}
		at := string(f.At)
		if at == "" && len(p.Circuit.Sources) > 0 {
			at = string(p.Circuit.Sources[0].Part)
		}
		if f.Numeric {
			p.Unchecked(at, fmt.Sprintf("%s: what hangs on currents and voltages is not checked in this state. Switch something off in it, or tell the figures that are missing", f.Reason))
			return
		}
		p.Report(rules.Finding{At: at, Message: "With everything on, " + f.Reason})
	},
}

// overloadedStepDowns finds those that give less than the loads behind them take
// together. It tells whether it spoke.
func overloadedStepDowns(p *rules.Pass) bool {
	spoke := false
	for _, sd := range p.Doc.Parts() {
		out, ok := p.Circuit.At(sd.ID, "out", components.Pos)
		gives := sd.Figure("output_a")
		if sd.Kind != &components.DCConverter || sd.Gone() || !ok || !gives.Known() || !feedsAlone(p, sd.ID) {
			continue
		}
		takes, also := 0.0, []string(nil)
		for _, q := range p.Doc.Parts() {
			if q.Kind != &components.DCLoad || q.Gone() || slices.Contains(p.State.Off, q.ID) || len(p.State.On) > 0 && !slices.Contains(p.State.On, q.ID) {
				continue
			}
			if t, ok := p.Circuit.At(q.ID, "in", components.Pos); ok && p.Circuit.Net(t) == p.Circuit.Net(out) {
				takes, also = takes+q.Figure("a").Value, append(also, string(q.ID))
			}
		}
		if takes <= gives.Value*1.001 {
			continue
		}
		spoke = true
		want := 5 * math.Ceil(takes/5)
		p.Report(rules.Finding{
			At: string(sd.ID), Also: also,
			Message: fmt.Sprintf("%s gives %s A, and the loads behind it take %s A together", sd.ID, numText(gives.Value), numText(takes)),
			Working: []string{fmt.Sprintf("%s A > %s A", numText(takes), numText(gives.Value))},
			Fixes:   []rules.Fix{{Title: fmt.Sprintf("Fit a step-down of %s A as %s", numText(want), sd.ID), Edits: []components.Edit{set(sd.ID, "output_a", components.Num(want))}}},
		})
	}
	return spoke
}

// feedsAlone tells whether nothing else gives power where a step-down does.
func feedsAlone(p *rules.Pass, sd components.ID) bool {
	t, _ := p.Circuit.At(sd, "out", components.Pos)
	return !slices.ContainsFunc(p.Circuit.Feeds(t), func(s circuit.Source) bool { return s.Part != sd })
}
