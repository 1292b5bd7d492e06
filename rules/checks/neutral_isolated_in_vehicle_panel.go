package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
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
	Level: rules.Danger, Stateless: true,
	Explains: []string{"neutral.one-bond-per-state"},
	Check: func(p *rules.Pass) {
		for _, q := range p.Doc.Parts() {
			if q.Kind != &components.Panel || q.Gone() {
				continue
			}
			if q.Told("neutral_bonded").IsUnknown() {
				p.Unchecked(string(q.ID), fmt.Sprintf("whether the neutral of %s is bonded is unknown: with all cords unplugged and the inverter off, measure neutral bar to ground bar (open is right)", q.ID))
				continue
			}
			if q.Is("neutral_bonded") {
				p.Report(rules.Finding{
					At:      string(q.ID),
					Message: fmt.Sprintf("The neutral bar of %s is bonded to its enclosure: the frame carries neutral current, and a broken neutral makes it live", q.ID),
					Fixes:   allBondedAfter(p, []rules.Fix{{Title: "Take the green screw out of " + string(q.ID), Edits: []components.Edit{set(q.ID, "neutral_bonded", components.Yes(false))}}}),
				})
			}
		}
		jumperedPanels(p)
	},
}

// jumperedPanels finds jumpers and runs that join the neutral of a panel to ground: what
// a green screw does, a little farther out.
func jumperedPanels(p *rules.Pass) {
	for _, l := range p.Circuit.Links {
		n := l.A
		if p.Circuit.Terms[n].Pole != components.N {
			n = l.B
		}
		q, _ := p.Doc.Part(l.Part)
		if !l.Bond || p.Circuit.Terms[n].Pole != components.N || l.Run == "" && q.Kind != &components.BondKind {
			continue
		}
		panel := panelOfNeutral(p, n)
		if panel == "" {
			continue
		}
		f := rules.Finding{
			At: l.Address(), Also: []string{string(panel)},
			Message: fmt.Sprintf("%s joins the neutral of %s to ground: the frame carries neutral current as soon as a bonded source is plugged in, and a broken neutral makes it live", l.Address(), panel),
		}
		if fix, ok := groundCrossed(p, l.Run); ok {
			f.Fixes = []rules.Fix{fix}
		} else if l.Run != "" {
			f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Remove %s, and bond the source itself", l.Run), Edits: []components.Edit{components.RemoveRun{ID: l.Run}}}}
		} else {
			f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Remove the jumper %s, and bond the source itself", l.Part), Edits: p.Doc.Delete(l.Part)}}
		}
		p.Report(f)
	}
}

// panelOfNeutral is the panel that a neutral terminal is of, or comes to before it comes
// to a source, "" where a source, an inlet or a switch comes first.
func panelOfNeutral(p *rules.Pass, n circuit.Term) components.ID {
	id := p.Circuit.Terms[n].Part
	if q, _ := p.Doc.Part(id); q.Kind != &components.Panel {
		id, _ = firstPanel(p, n)
	}
	if q, _ := p.Doc.Part(id); q.Kind != &components.Panel {
		return ""
	}
	return id
}
