package checks

import (
	"fmt"
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// SplitPhase tells in which states a 240 V load is dead.
var SplitPhase = &rules.Rule{
	ID:    "load.240v-needs-split-phase",
	Title: "A 240 V load is dead in some states",
	Must:  "A load across both legs has 240 V in each state in which it is meant to run: legs in phase give it 0 V, one leg gives it nothing. One that has it in no state at all hangs on one leg, or is of the wrong voltage for the rig.",
	Basis: []rules.Basis{
		{Source: "phasor difference of the legs", Says: "240 V opposite, 208 V on a wye, 0 V in phase", Seen: rules.Practice},
		{Source: "NFPA 70 (NEC) 2023", Clause: "110.4; 551.40(A)", Says: "voltage of the circuit and of the equipment agree", Seen: rules.Published},
	},
	Level: rules.Violation,
	Check: splitPhase,
}

func splitPhase(p *rules.Pass) {
	off := map[components.ID]bool{}
	for _, id := range p.State.Off {
		off[id] = true
	}
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.ACLoad || q.Gone() || q.Figure("hots").Value != 2 || off[q.ID] {
			continue
		}
		why := deadAcross(p, q)
		if why == "" {
			continue
		}
		if neverAcross(p, q) {
			p.Report(rules.Finding{
				At:      string(q.ID),
				Message: fmt.Sprintf("%s needs 240 V and gets it in no state: %s. Bring its hots from both legs, or choose a 120 V appliance", q.ID, why),
				Working: []string{fmt.Sprintf("states in which %s has 240 V: 0 of %d", q.ID, len(p.All()))},
			})
			continue
		}
		p.Report(rules.Finding{
			At: string(q.ID), Level: rules.Advice,
			Message: fmt.Sprintf("%s needs 240 V and gets none here: %s. Mark the state, or choose a 120 V appliance", q.ID, why),
			Fixes:   []rules.Fix{switchOff(p, q.ID, func(s *rules.Pass) bool { return deadAcross(s, q) != "" })},
		})
	}
}

// neverAcross tells whether no state that leaves a load on gives it the voltage across the
// legs.
func neverAcross(p *rules.Pass, q components.Part) bool {
	for _, s := range p.All() {
		if slices.Contains(s.State.Off, q.ID) {
			continue
		}
		a, okA := s.Circuit.At(q.ID, "in", components.L1)
		b, okB := s.Circuit.At(q.ID, "in", components.L2)
		if okA && okB && s.Circuit.Live(a) && s.Circuit.Live(b) && deadAcross(s, q) == "" {
			return false
		}
	}
	return true
}

// deadAcross says why a load across both legs gets nothing while a leg is live, ""
// where it runs or nothing is live.
func deadAcross(p *rules.Pass, q components.Part) string {
	a, okA := p.Circuit.At(q.ID, "in", components.L1)
	b, okB := p.Circuit.At(q.ID, "in", components.L2)
	if !okA || !okB || !p.Circuit.Live(a) && !p.Circuit.Live(b) {
		return ""
	}
	switch p.Circuit.PhaseOf(a, b) {
	case circuit.InPhase:
		return "both legs are in phase, with 0 V between them"
	case circuit.OneDead:
		return "only one leg is live"
	}
	return ""
}
