package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// UnusedLeg finds a source of two legs of which one leads to nothing.
var UnusedLeg = &rules.Rule{
	ID:    "supply.unused-leg",
	Title: "One leg of a source leads to nothing",
	Must:  "From each leg of a generator, of an inverter or of a site's supply of two legs a conductor leads to something that uses it. Where only one does, half of what the source gives is out of reach, and one winding or one breaker carries all of it. A site outlet that an adapter takes to an inlet of one leg is left out: cord.adapter-changes-protection looks at it.",
	Basis: []rules.Basis{
		{Source: "what a leg does not use the other cannot give: each has a winding, a bridge or a breaker of its own", Seen: rules.Practice},
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.42(D), 210.11(B)", Says: "the load is evenly proportioned between the legs; no figure is given", Seen: rules.Memory},
	},
	Level: rules.Advice, Stateless: true,
	Check: unusedLeg,
}

func unusedLeg(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		port := twoLeggedAt(q)
		if port == "" || q.Gone() || len(p.Doc.RunsAt(q.Ref(port))) == 0 || toOneLegInlet(p, q) {
			continue
		}
		one, two := legReachesUse(p, q, port, components.L1), legReachesUse(p, q, port, components.L2)
		if one == two {
			continue // both do, or supply.leads-nowhere speaks
		}
		idle := components.L2
		if two {
			idle = components.L1
		}
		p.Report(rules.Finding{
			At:      q.Ref(port).String(),
			Message: fmt.Sprintf("%s of %s leads to nothing that takes power: half of what it gives is out of reach. Put some of the circuits on that leg, or choose a source of one leg", idle, q.ID),
			Working: []string{fmt.Sprintf("loads, chargers and inverter inputs that conductors of %s.%s lead to, in any position of switches: 0", q.Ref(port), idle)},
			Fixes:   ontoLeg(p, q, port, idle),
		})
	}
}

// twoLeggedAt is the port at which a source gives two legs, "" where it does not.
func twoLeggedAt(q components.Part) string {
	switch q.Kind {
	case &components.Generator:
		if w := q.Word("legs"); w == "opposite" || w == "same-phase" {
			return "out"
		}
	case &components.Shore:
		if components.ThreeWire(q.Word("service")) {
			return "out"
		}
	case &components.Inverter, &components.InverterCharger:
		if w := q.Word("inverts"); w == "both-split" || w == "both-in-phase" {
			return "ac-out"
		}
	}
	return ""
}

// toOneLegInlet tells whether a site's outlet goes to an inlet of one leg.
func toOneLegInlet(p *rules.Pass, q components.Part) bool {
	for _, r := range p.Doc.RunsAt(q.Ref("out")) {
		_, far, ok := p.Doc.Port(r.Other(q.Ref("out")))
		if ok && isLead(p, r) && far.Has(components.L) {
			return true
		}
	}
	return false
}

// legReachesUse follows one leg of a source over every contact, whatever its position, to
// a part that takes what it gives.
func legReachesUse(p *rules.Pass, q components.Part, port string, leg components.Pole) bool {
	start, ok := p.Circuit.At(q.ID, port, leg)
	return ok && usesBeyond(p, q, start)
}

// ontoLeg moves the last circuit of a panel whose circuits all hang on one leg to the
// other, where that brings the idle leg into use: none that shares a neutral or a handle.
func ontoLeg(p *rules.Pass, q components.Part, port string, idle components.Pole) []rules.Fix {
	for _, panel := range p.Doc.Parts() {
		if panel.Kind != &components.Panel || panel.Gone() || panel.Figure("legs").Value != 2 {
			continue
		}
		rows := panel.Rows("circuits")
		bound := map[int]bool{}
		for _, i := range sharingIn(p, panel) {
			bound[i] = true
		}
		last, used, mixed := -1, "", false
		for i, row := range rows {
			if len(p.Doc.RunsAt(panel.Ref(fmt.Sprintf("c%d", i+1)))) == 0 {
				continue
			}
			leg := row["leg"].Str()
			mixed = mixed || leg == "both" || used != "" && leg != used
			used = leg
			if next := i+1 < len(rows) && rows[i+1]["tied"].Truth(); !bound[i] && !row["tied"].Truth() && !next {
				last = i
			}
		}
		if last < 0 || mixed {
			continue
		}
		to := "L1"
		if used == to {
			to = "L2"
		}
		moved := append([]components.Spec{}, rows...)
		moved[last] = rows[last].With("leg", components.Str(to))
		edit := set(panel.ID, "circuits", components.Table(moved...))
		next, err := p.Doc.Apply(edit)
		if err != nil || !legReachesUse(rules.Over(circuit.Build(next, p.State), nil), q, port, idle) {
			continue
		}
		return []rules.Fix{{Title: fmt.Sprintf("Move %s of %s to %s", circuitName(rows[last], last), panel.ID, to), Edits: []components.Edit{edit}}}
	}
	return nil
}
