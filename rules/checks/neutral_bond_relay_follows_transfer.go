package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
)

// BondRelay asks that the bond of an inverter/charger opens before it passes
// outside power.
var BondRelay = &rules.Rule{
	ID:    "neutral.bond-relay-follows-transfer",
	Title: "The inverter's bond does not open for outside power",
	Must:  "An inverter/charger bonds its neutral only while it inverts: by its ground relay, which opens before the input is passed, never by a fixed screw. That every state then has its one bond is for neutral.one-bond-per-state.",
	Basis: []rules.Basis{
		{Source: "UL 458", Says: "the ground relay of an inverter for vehicles", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.30(B), 551.32, 250.30", Says: "a bond of the on-board source alone", Seen: rules.Memory},
	},
	Level: rules.Danger, Stateless: true,
	Check: bondRelay,
}

func bondRelay(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.InverterCharger || q.Gone() || len(p.Doc.RunsAt(q.Ref("ac-in"))) == 0 || !q.Is("bonded") || bondsCounted(p, q.ID) {
			continue
		}
		if common, from := q.Value("neutral_common"); from != components.Missing && !common.Truth() {
			continue // its input's neutral is apart while it inverts; what passes is counted state by state
		}
		p.Report(rules.Finding{
			At:      string(q.ID),
			Message: fmt.Sprintf("The neutral of %s is bonded by a fixed screw: as soon as outside power is plugged in, neutral and ground meet here and at the site", q.ID),
			Working: []string{fmt.Sprintf("bonds on outside power: the site's and that of %s = 2", q.ID)},
			Fixes: []rules.Fix{{Title: fmt.Sprintf("Take the fixed bond out of %s and use its ground relay", q.ID),
				Edits: []components.Edit{set(q.ID, "bonded", components.Yes(false)), set(q.ID, "bond_relay", components.Yes(true))}}},
		})
	}
}

// bondsCounted tells whether a state shows the bond of a part as one too many, so
// that neutral.one-bond-per-state speaks.
func bondsCounted(p *rules.Pass, id components.ID) bool {
	for _, s := range p.All() {
		for _, isle := range s.Circuit.Islands() {
			if len(isle.Bonds) < 2 {
				continue
			}
			for _, b := range isle.Bonds {
				if b.At == string(id) {
					return true
				}
			}
		}
	}
	return false
}
