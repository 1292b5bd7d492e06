package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
)

// CopperStranded asks for stranded copper on the DC side.
var CopperStranded = &rules.Rule{
	ID:    "conductor.copper-stranded-only",
	Title: "A DC conductor is not stranded copper",
	Must:  "DC conductors are stranded copper. Aluminum and copper-clad aluminum count as two sizes smaller, with 1.64 times the resistance, and a solid conductor works loose and breaks in a vehicle.",
	Basis: []rules.Basis{
		{Source: "33 CFR 183", Clause: "183.425(a)", Says: "insulated stranded copper (a marine rule, not law in a vehicle)", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2017", Clause: "552.10(B)(1)", Says: "copper conductors (park trailers; article 551 excludes low voltage)", Seen: rules.Published},
		{Source: "two sizes smaller for aluminum", Seen: rules.Practice},
		{Source: "aluminum: 61 % of the conductivity of copper", Seen: rules.Memory},
	},
	Level: rules.Danger, OnePerPlace: true, Stateless: true,
	Check: copperStranded,
}

func copperStranded(p *rules.Pass) {
	told := map[components.ID]bool{}
	for i, l := range p.Circuit.Links {
		if l.Run == "" || !l.Core.Role().DC() || told[l.Run] {
			continue
		}
		r, _ := p.Doc.Run(l.Run)
		cable, _ := r.Cable()
		size, known := r.Size(l.Core.Role())
		f := rules.Finding{At: string(r.ID), Level: rules.Violation}
		switch {
		case r.Metal() != components.Copper:
			f.Message = fmt.Sprintf("%s is %s: it counts as two sizes smaller, and its lugs work loose", r.ID, metals[r.Metal()])
			f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Replace %s by stranded copper", r.ID), Edits: clearToldRun(r, "metal")}}
			if over, working := burns(p, i, r); over {
				f.Level = rules.Danger
				f.Message += "; what protects it lets it burn"
				f.Working = working
			}
		case known && cable.SolidTo10 && size.Cmil() <= awg10.Cmil()*1.001:
			f.Message = fmt.Sprintf("%s is %s, solid to 10 AWG, in the DC wiring: it breaks where the vehicle shakes it", r.ID, cable.Title)
			f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Replace %s by stranded two-core cable", r.ID), Edits: []components.Edit{set(r.ID, "cable", components.Str("duplex-105"))}}}
		default:
			continue
		}
		told[l.Run] = true
		p.Report(f)
	}
}

var awg10 = mustSize("10 AWG")

// burns tells whether a device ahead of a run is over what it carries.
func burns(p *rules.Pass, link int, r components.Run) (bool, []string) {
	a, err := runAmpacity(p, r, components.Pos)
	if err != nil || p.Circuit.Links[link].Core.From != components.Pos {
		return false, nil
	}
	for _, f := range p.Feeds()[link] {
		if f.HasDevice() && !f.Unknown && f.LimitA > a.Usable {
			return true, append(a.Working[:len(a.Working):len(a.Working)], fmt.Sprintf("%s A < %s", numText(a.Usable), f))
		}
	}
	return false, nil
}
