package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// ChassisBond ties the AC ground of the rig to its frame.
var ChassisBond = &rules.Rule{
	ID:    "bonding.chassis-bond",
	Title: "The panel's ground is not bonded to the chassis",
	Must:  "A copper conductor of 8 AWG or larger joins the panel's ground bar to the chassis. The case ground of an inverter or charger is none: it goes when the unit does.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.56(A)-(F)", Says: "8 AWG copper or larger to an accessible chassis terminal", Seen: rules.Published},
		{Source: "IEC 60364-7-721:2017", Clause: "721.544", Says: "in a 230 V caravan: 4 mm² copper or larger", Seen: rules.Memory},
	},
	Level: rules.Danger, Stateless: true,
	Check: func(p *rules.Pass) {
		type panel struct {
			part components.Part
			at   circuit.Term
			net  circuit.Term
			way  path
		}
		var panels []panel
		bonded := map[circuit.Term]bool{} // ground nets that one panel bonds well
		for _, q := range p.Doc.Parts() {
			if q.Kind != &components.Panel || q.Gone() || !joinedAnywhere(p.Doc, q) {
				continue
			}
			if t, ok := p.Circuit.At(q.ID, "main", components.G); ok {
				x := panel{q, t, p.Circuit.Net(t), bestWay(p, t)}
				panels = append(panels, x)
				if x.way.Found && x.way.Unknown == "" && x.way.Other == "" && (x.way.Thinnest == "" || !x.way.Size.Less(leastBond(p.Doc))) {
					bonded[x.net] = true
				}
			}
		}
		for _, x := range panels {
			panelBond(p, x.part, x.at, x.way, bonded[x.net])
		}
	},
}

// panelBond judges one panel. A sub-panel reaches the frame through its feeder's
// ground and the bond of another panel, so a thin way counts against it only where
// it is its own bond, or where no panel of its ground has a better one.
func panelBond(p *rules.Pass, q components.Part, at circuit.Term, way path, bonded bool) {
	switch {
	case !way.Found:
		level, so := rules.Danger, "No conductor joins the ground bar of %s to the chassis: a hot wire on the frame trips nothing"
		if toFrame(p, at, func(circuit.Link) bool { return false }).Found {
			level, so = rules.Violation, "The ground bar of %s reaches the chassis over the case ground of a unit alone: with the unit taken out, a hot wire on the frame trips nothing"
		}
		p.Report(rules.Finding{
			At: string(q.ID), Level: level,
			Message: fmt.Sprintf(so, q.ID),
			Fixes:   []rules.Fix{{Title: fmt.Sprintf("Run %s copper from the ground bar of %s to the chassis", leastBond(p.Doc), q.ID), Edits: groundToChassis(p.Doc, q.Ref("main"), leastBond(p.Doc).String())}},
		})
	case way.Unknown != "":
		p.Unchecked(string(q.ID), fmt.Sprintf("the size of %s, on the way from the ground bar of %s to the chassis, is not known", way.Unknown, q.ID), string(way.Unknown))
	case way.Thinnest != "" && way.Size.Less(leastBond(p.Doc)) && ownBond(p, q, way.Thinnest):
		p.Report(rules.Finding{
			At: string(q.ID), Also: []string{string(way.Thinnest)}, Level: rules.Violation,
			Message: fmt.Sprintf("The chassis bond %s of %s is %s; %s copper is the least", way.Thinnest, q.ID, way.Size, leastBond(p.Doc)),
			Fixes:   []rules.Fix{{Title: fmt.Sprintf("Replace %s by %s", way.Thinnest, leastBond(p.Doc)), Edits: []components.Edit{groundSize(p.Doc, way.Thinnest, leastBond(p.Doc).String())}}},
		})
	case way.Other != "" && ownBond(p, q, way.Other):
		p.Report(notCopper(p.Doc, q, way.Other, "chassis bond"))
	case way.Thinnest != "" && way.Size.Less(leastBond(p.Doc)) && !bonded:
		p.Report(rules.Finding{
			At: string(q.ID), Also: []string{string(way.Thinnest)}, Level: rules.Violation,
			Message: fmt.Sprintf("No conductor of %s or larger joins the ground bar of %s to the chassis; its best way leads over %s, %s", leastBond(p.Doc), q.ID, way.Thinnest, way.Size),
			Fixes:   []rules.Fix{{Title: fmt.Sprintf("Run %s copper from the ground bar of %s to the chassis", leastBond(p.Doc), q.ID), Edits: groundToChassis(p.Doc, q.Ref("main"), leastBond(p.Doc).String())}},
		})
	}
}

// notCopper is the finding at a bond of another metal: it corrodes at the frame, and
// carries less than copper of its size.
func notCopper(doc *components.Document, q components.Part, run components.ID, what string) rules.Finding {
	r, _ := doc.Run(run)
	return rules.Finding{
		At: string(q.ID), Also: []string{string(run)}, Level: rules.Violation,
		Message: fmt.Sprintf("The %s %s of %s is %s; it is copper of %s or larger", what, run, q.ID, r.Metal(), leastBond(doc)),
		Working: []string{"wanted: copper; there: " + r.Metal()},
		Fixes:   []rules.Fix{{Title: fmt.Sprintf("Replace %s by copper", run), Edits: clearToldRun(r, "metal")}},
	}
}

// ownBond tells whether a run is one that brings ground alone to the chassis.
func ownBond(p *rules.Pass, _ components.Part, run components.ID) bool {
	r, _ := p.Doc.Run(run)
	for _, core := range p.Doc.CoresOf(r) {
		if core.From != components.G || core.To != components.G {
			return false
		}
	}
	return true
}

// groundSize tells the size of a run's ground core.
func groundSize(doc *components.Document, run components.ID, size string) components.Edit {
	r, _ := doc.Run(run)
	key := "size"
	if len(doc.CoresOf(r)) > 1 {
		key = "ground_size"
	}
	return set(run, key, components.Str(size))
}

// groundToChassis draws a ground conductor from a port to the frame, with a stud
// where the sheet has none.
func groundToChassis(doc *components.Document, from components.PortRef, size string) []components.Edit {
	var edits []components.Edit
	stud := components.PortRef{Port: "stud"}
	for _, q := range doc.Parts() {
		if q.Kind == &components.Chassis && !q.Gone() {
			stud.Part = q.ID
		}
	}
	if stud.Part == "" {
		p, port, _ := doc.Port(from)
		at := snap(clear(doc, p.At.Add(port.At).Add(components.Point{X: 40, Y: 80})))
		part := components.Part{ID: doc.FreeID("CH"), Kind: &components.Chassis, At: at, Name: "Chassis"}
		stud.Part = part.ID
		edits = append(edits, components.AddPart{Part: part})
	}
	run := components.Run{ID: doc.FreeID("W"), From: from, To: stud, Cores: []components.Core{{From: components.G, To: components.G}},
		Spec: components.Spec{"size": components.Str(size), "cable": components.Str("battery-105"), "color": components.Str("green")}}
	return append(edits, components.AddRun{Run: run})
}
