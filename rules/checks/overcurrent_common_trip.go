package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// CommonTrip asks that what hangs between two legs opens on both at once.
var CommonTrip = &rules.Rule{
	ID:    "overcurrent.common-trip",
	Title: "Two legs of one circuit do not open together",
	Must:  "Circuits that share a neutral open together where they start, by a two-pole breaker or a handle tie on neighbouring spaces; a 240 V load has one two-pole device.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "210.4(B), 210.4(C), 240.15(B)", Says: "a multiwire circuit disconnects all its lines at once", Seen: rules.Published},
	},
	Level: rules.Violation,
	Check: commonTrip,
}

func commonTrip(p *rules.Pass) {
	if p.First() {
		for _, s := range sharedNeutrals(p) {
			for _, b := range s.Of[1:] {
				openTogether(p, s.Of[0], b)
			}
		}
	}
	for _, q := range p.Doc.Parts() {
		if q.Kind == &components.ACLoad && !q.Gone() && q.Figure("hots").Value == 2 {
			twoLegLoad(p, q)
		}
	}
}

// openTogether holds two circuits that share a neutral to each other. Those of one leg
// may not share it at all, which load.in-phase-shared-neutral tells.
func openTogether(p *rules.Pass, lender, borrower origin) {
	if lender.Space >= 0 {
		i, j := min(lender.Space, borrower.Space), max(lender.Space, borrower.Space)
		if rows := lender.Part.Rows("circuits"); rows[i]["leg"].Str() != rows[j]["leg"].Str() {
			holdTie(p, lender.Part, i, j, "")
		}
		return
	}
	p.Report(rules.Finding{
		At: lender.address(), Also: []string{borrower.address()},
		Message: fmt.Sprintf("%s and %s share a neutral and open one by one: with one off, the other still sends its current through what seems dead", lender.name(), borrower.name()),
		Working: []string{"handles that move together: none"},
		Fixes:   ownNeutralFor(p, borrower),
	})
}

// holdTie asks for a handle tie between two circuits of a panel.
func holdTie(p *rules.Pass, q components.Part, i, j int, load components.ID) {
	rows := q.Rows("circuits")
	if j == i+1 && rows[j]["tied"].Truth() {
		return
	}
	at, also := fmt.Sprintf("%s.c%d", q.ID, j+1), fmt.Sprintf("%s.c%d", q.ID, i+1)
	why := fmt.Sprintf("%s and %s of %s share a neutral", circuitName(rows[i], i), circuitName(rows[j], j), q.ID)
	if load != "" {
		why = fmt.Sprintf("%s and %s of %s feed %s between them", circuitName(rows[i], i), circuitName(rows[j], j), q.ID, load)
	}
	if j == i+1 && rows[j]["tied"].IsUnknown() {
		p.Unchecked(at, why+": see whether a pin or a bar ties their handles (tied)", also)
		return
	}
	f := rules.Finding{
		At: at, Also: []string{also},
		Message: why + " and open one by one: with one off, the other still puts 120 V into what seems dead",
		Working: []string{"handles that move together: none"},
	}
	if j == i+1 {
		tied := append([]components.Spec{}, rows...)
		tied[j] = rows[j].With("tied", components.Yes(true))
		f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Tie the handles of circuits %d and %d of %s", i+1, j+1, q.ID), Edits: []components.Edit{set(q.ID, "circuits", components.Table(tied...))}}}
	} else {
		f.Working = append(f.Working, fmt.Sprintf("spaces %d and %d are not neighbours: no tie reaches", i+1, j+1))
	}
	p.Report(f)
}

// twoLegLoad holds the last devices ahead of a 240 V load to each other.
func twoLegLoad(p *rules.Pass, q components.Part) {
	var last [2]circuit.Device
	for i, pole := range []components.Pole{components.L1, components.L2} {
		t, ok := p.Circuit.At(q.ID, "in", pole)
		if !ok {
			return
		}
		feed, fed := loosestAhead(p, t)
		if !fed || feed.Last.Part == "" {
			return // not fed, or overcurrent.every-line-at-source speaks
		}
		last[i] = *feed.Last
	}
	if last[0].Address() == last[1].Address() {
		return
	}
	panel, _ := p.Doc.Part(last[0].Part)
	var i, j int
	if panel.Kind == &components.Panel && last[1].Part == panel.ID {
		_, errI := fmt.Sscanf(last[0].Place, "c%d", &i)
		_, errJ := fmt.Sscanf(last[1].Place, "c%d", &j)
		if errI == nil && errJ == nil {
			holdTie(p, panel, min(i, j)-1, max(i, j)-1, q.ID)
			return
		}
	}
	p.Report(rules.Finding{
		At: string(q.ID), Also: []string{last[0].Address(), last[1].Address()},
		Message: fmt.Sprintf("%s hangs between two legs that %s and %s open one by one: with one off, its case still holds 120 V", q.ID, last[0], last[1]),
		Working: []string{"devices that open both legs of " + string(q.ID) + ": none"},
	})
}
