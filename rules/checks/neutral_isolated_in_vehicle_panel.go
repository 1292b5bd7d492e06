package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
)

// IsolatedNeutral keeps neutral and ground apart inside the vehicle's panels.
var IsolatedNeutral = &rules.Rule{
	ID:    "neutral.isolated-in-vehicle-panel",
	Title: "Neutral is bonded in the vehicle's panel",
	Must:  "Inside the vehicle every neutral bar is insulated from the enclosure, the ground bar and the chassis.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.54(C), 551.45(A)", Says: "the neutral floats in the vehicle's panel", Seen: rules.Published},
		{Source: "24 CFR 3280.809", Says: "the same for manufactured homes", Seen: rules.Published},
	},
	Level: rules.Danger, Wiring: true,
	Explains: []string{"neutral.one-bond-per-state"},
	Check: func(p *rules.Pass) {
		if !p.First() {
			return
		}
		for _, q := range p.Doc.Parts() {
			if q.Kind != &components.Panel || q.Gone() {
				continue
			}
			if q.Spec["neutral_bonded"].IsUnknown() {
				p.Unchecked(string(q.ID), fmt.Sprintf("whether the neutral of %s is bonded is unknown: with all cords unplugged and the inverter off, measure neutral bar to ground bar (open is right)", q.ID))
				continue
			}
			if q.Is("neutral_bonded") {
				p.Report(rules.Finding{
					At:      string(q.ID),
					Message: fmt.Sprintf("The neutral bar of %s is bonded to its enclosure: the frame carries neutral current, and a broken neutral makes it live", q.ID),
					Fixes:   []rules.Fix{{Title: "Take the green screw out of " + string(q.ID), Edits: []components.Edit{set(q.ID, "neutral_bonded", components.Yes(false))}}},
				})
			}
		}
	},
}
