package checks

import (
	"fmt"

	"rigline/components"
	"rigline/components/units"
	"rigline/rules"
	"rigline/rules/circuit"
)

// SourceFrames ties the metal cases of converters and generators to the frame by
// a conductor of their own.
var SourceFrames = &rules.Rule{
	ID:    "bonding.source-frames",
	Title: "A case is not grounded, or by too small a conductor",
	Must:  "The case of each inverter and charger has a copper conductor of its own to the chassis, 8 AWG or larger, that carries no load current; an on-board generator's frame is strapped to the chassis. A unit that no run is joined to yet needs none.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.20(C), 551.30(A), 250.34(B)", Says: "8 AWG copper or larger, separate from the circuit conductors", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2020", Clause: "250.34(A)", Says: "the frame of a carried set that feeds through its own receptacles need not be grounded: one whose cord plugs into an inlet is left out", Seen: rules.Memory},
		{Source: "NFPA 70 (NEC) 2017", Clause: "552.20(C)", Says: "park trailers may let the case ground share the negative; a vehicle may not (bonding.converter-enclosure-bond)", Seen: rules.Published},
	},
	Level: rules.Danger, Stateless: true,
	Check: sourceFrames,
}

func sourceFrames(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		if q.Gone() {
			continue
		}
		switch q.Kind {
		case &components.InverterCharger, &components.Inverter, &components.Charger:
			caseGround(p, q)
		case &components.Generator:
			generatorFrame(p, q)
		}
	}
}

func caseGround(p *rules.Pass, q components.Part) {
	t, ok := p.Circuit.At(q.ID, "case", components.G)
	if !ok || !joinedAnywhere(p.Doc, q) {
		return
	}
	way := toFrame(p, t, func(l circuit.Link) bool { return l.Part == q.ID }) // not over its AC ports
	want := leastBond(p.Doc)
	if lead, size := dcLead(p.Doc, q); lead != "" && want.Less(oneSmaller(size)) {
		want = oneSmaller(size) // so that the repair also suits a DC fault
	}
	switch {
	case !way.Found:
		p.Report(rules.Finding{
			At:      string(q.ID),
			Message: fmt.Sprintf("The case of %s has no ground conductor of its own to the chassis: a DC fault to the case returns over the thin AC ground", q.ID),
			Fixes:   []rules.Fix{{Title: fmt.Sprintf("Run %s from the case of %s to the chassis", want, q.ID), Edits: groundToChassis(p.Doc, q.Ref("case"), want.String())}},
		})
	case way.Unknown != "":
		p.Unchecked(string(q.ID), fmt.Sprintf("the size of the case ground %s is not known", way.Unknown), string(way.Unknown))
	case way.Thinnest != "" && way.Size.Less(leastBond(p.Doc)):
		p.Report(rules.Finding{
			At: string(q.ID), Also: []string{string(way.Thinnest)}, Level: rules.Violation,
			Message: fmt.Sprintf("The case ground %s of %s is %s; %s copper is the least", way.Thinnest, q.ID, way.Size, leastBond(p.Doc)),
			Fixes:   []rules.Fix{{Title: fmt.Sprintf("Replace %s by %s", way.Thinnest, want), Edits: []components.Edit{groundSize(p.Doc, way.Thinnest, want.String())}}},
		})
	case way.Other != "":
		p.Report(notCopper(p.Doc, q, way.Other, "case ground"))
	}
}

// dcLead is the thickest run on the positive side of a part's DC port.
func dcLead(doc *components.Document, q components.Part) (components.ID, units.Size) {
	var id components.ID
	var size units.Size
	for _, r := range doc.RunsAt(q.Ref("dc")) {
		for _, core := range doc.CoresOf(r) {
			if s, ok := r.Size(components.Pos); ok && core.From == components.Pos && size.Less(s) {
				id, size = r.ID, s
			}
		}
	}
	return id, size
}

// generatorFrame asks for the strap of a set that is mounted. One whose cord plugs into
// an inlet is carried: its frame stands by itself (250.34(A)).
func generatorFrame(p *rules.Pass, q components.Part) {
	for _, r := range p.Doc.RunsAt(q.Ref("out")) {
		if isGeneratorLead(p, r) {
			return
		}
	}
	v, from := q.Value("frame_bonded")
	switch {
	case from == components.Missing:
		p.Unchecked(string(q.ID), fmt.Sprintf("whether the frame of %s is strapped to the chassis is not told: look for a strap or a bolt to bare metal", q.ID))
	case !v.Truth():
		p.Report(rules.Finding{
			At:      string(q.ID),
			Message: fmt.Sprintf("The frame of %s is not strapped to the chassis", q.ID),
			Fixes:   []rules.Fix{{Title: fmt.Sprintf("Strap the frame of %s to the chassis", q.ID), Edits: []components.Edit{set(q.ID, "frame_bonded", components.Yes(true))}}},
		})
	}
}
