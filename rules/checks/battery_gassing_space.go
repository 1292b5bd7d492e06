package checks

import (
	"fmt"
	"strings"

	"rigline/components"
	"rigline/rules"
)

// GassingSpace keeps what sparks out of the space of a battery that gives off
// hydrogen.
var GassingSpace = &rules.Rule{
	ID:    "battery.gassing-space",
	Title: "Something that sparks shares the space of a gassing battery",
	Must:  "No inverter, charger or switch stands in the compartment of a vented lead battery: charging it gives off hydrogen.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2014", Clause: "480.9(A)", Says: "ventilation of the gases of a battery, against an explosive mixture (480.10(A) in 2017)", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2017", Clause: "552.10(D)", Says: "the battery's compartment vapor-tight to the interior, with openings to the outside (park trailers; article 551 excludes low voltage)", Seen: rules.Published},
		{Source: "common practice, no source", Says: "vented cells in a box of their own that breathes to the outside; sealed and lithium ones need no such box", Seen: rules.Practice},
	},
	Level: rules.Danger, Stateless: true,
	Check: gassingSpace,
}

func gassingSpace(p *rules.Pass) {
	for _, bat := range p.Doc.Parts() {
		if bat.Kind != &components.Battery || bat.Gone() || bat.Word("chemistry") != "flooded" || bat.Word("role") == "starting" {
			continue // a starting battery stands in the engine's own air
		}
		where := spaceOf(bat)
		if where == "" {
			p.Unchecked(string(bat.ID), fmt.Sprintf("space of %s is not told: a vented battery gives off hydrogen. Tell which compartment it stands in, and the inverter's and the charger's", bat.ID))
			continue
		}
		var sparks []string
		for _, q := range p.Doc.Parts() {
			switch q.Kind {
			case &components.Inverter, &components.InverterCharger, &components.Charger, &components.DCSwitch:
				if !q.Gone() && spaceOf(q) == where {
					sparks = append(sparks, string(q.ID))
				}
			}
		}
		if len(sparks) == 0 {
			continue
		}
		var moved []components.Edit
		for _, id := range sparks {
			moved = append(moved, set(components.ID(id), "space", components.Str("apart from "+string(bat.ID))))
		}
		p.Report(rules.Finding{
			At: string(bat.ID), Also: sparks,
			Message: fmt.Sprintf("%s is a vented battery in %q, and %s stands there too: a spark in hydrogen is an explosion", bat.ID, where, strings.Join(sparks, ", ")),
			Fixes:   []rules.Fix{{Title: fmt.Sprintf("Move %s to another compartment", strings.Join(sparks, ", ")), Edits: moved}},
		})
	}
}

// spaceOf is the compartment as a person told it, without regard to capitals.
func spaceOf(p components.Part) string {
	v, from := p.Value("space")
	if from != components.Given || !v.Known() {
		return ""
	}
	return strings.ToLower(strings.TrimSpace(v.Str()))
}
