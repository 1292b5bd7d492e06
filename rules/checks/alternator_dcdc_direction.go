package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// ChargerDirection finds a DC-DC charger that stands the wrong way round.
var ChargerDirection = &rules.Rule{
	ID:    "alternator.dcdc-direction",
	Title: "A DC-DC charger takes from the house bank and gives to the alternator's side",
	Must:  "Where nothing else brings what the alternator gives to the house bank, a DC-DC charger between the two takes from the alternator's side and gives to the bank; none takes from and gives to one and the same. One of 10 A or less the other way round keeps the starting battery full, and is meant so.",
	Basis: []rules.Basis{
		{Source: "a charger of more than 10 A from the house bank to the alternator's side empties the bank while the engine runs", Seen: rules.Practice},
		{Source: "kind of the device", Says: "it passes power from its input to its output alone", Seen: rules.Published},
	},
	Level: rules.Violation, Stateless: true,
	Explains: []string{"supply.leads-nowhere", "alternator.dcdc-both-fuses", "overcurrent.rating-above-continuous"},
	Check: func(p *rules.Pass) {
		if !p.First() {
			return
		}
		for _, q := range p.Doc.Parts() {
			if q.Kind == &components.DCCharger && !q.Gone() {
				wrongWay(p, q)
			}
		}
	},
}

// maintains is the output up to which a charger may keep a starting battery full, A.
const maintains = 10

func wrongWay(p *rules.Pass, q components.Part) {
	in, okIn := p.Circuit.At(q.ID, "in", components.Pos)
	out, okOut := p.Circuit.At(q.ID, "out", components.Pos)
	if !okIn || !okOut {
		return
	}
	if p.Circuit.Net(in) == p.Circuit.Net(out) {
		p.Report(rules.Finding{
			At:      string(q.ID),
			Message: fmt.Sprintf("The input and the output of %s are on one net: it takes from the bank what it gives to it, and the bank empties into heat", q.ID),
			Working: []string{fmt.Sprintf("%s and %s meet over closed contacts", q.Ref("in"), q.Ref("out"))},
		})
		return
	}
	house, _ := batteriesOf(p, in)
	mine, alternator := batteriesOf(p, out)
	if house == "" || mine != "" || alternator == "" || chargedFrom(p, out) {
		return
	}
	amps := q.Figure("output_a")
	if !amps.Known() {
		p.Unchecked(string(q.ID), fmt.Sprintf("output_a of %s is not known, and it takes from %s and gives to the side of %s: up to %d A that keeps a starting battery full, with more its input and output are crossed", q.ID, house, alternator, maintains), string(house), string(alternator))
		return
	}
	if amps.Value <= maintains {
		return
	}
	f := rules.Finding{
		At: string(q.ID), Also: []string{string(house), string(alternator)},
		Message: fmt.Sprintf("%s takes from %s and gives to the side of %s, and nothing else charges %s while driving: its input and output are crossed", q.ID, house, alternator, house),
		Working: []string{fmt.Sprintf("%s A from %s towards %s; a charger that keeps a starting battery full has %d A or less", numText(amps.Value), house, alternator, maintains)},
	}
	if fix, ok := turnedRound(p, q); ok {
		f.Fixes = []rules.Fix{fix}
	}
	p.Report(f)
}

// batteriesOf names a house battery and an alternator on the net of a terminal.
func batteriesOf(p *rules.Pass, t circuit.Term) (house, alternator components.ID) {
	for _, q := range p.Doc.Parts() {
		port := map[*components.Kind]string{&components.Battery: "pos", &components.Alternator: "out"}[q.Kind]
		if port == "" || q.Gone() {
			continue
		}
		if o, ok := p.Circuit.At(q.ID, port, components.Pos); !ok || p.Circuit.Net(o) != p.Circuit.Net(t) {
			continue
		}
		switch {
		case q.Kind == &components.Alternator:
			alternator = q.ID
		case house == "" && q.Word("role") != "starting":
			house = q.ID
		}
	}
	return house, alternator
}

// chargedFrom tells whether another DC-DC charger takes from a terminal's net.
func chargedFrom(p *rules.Pass, t circuit.Term) bool {
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.DCCharger || q.Gone() {
			continue
		}
		if in, ok := p.Circuit.At(q.ID, "in", components.Pos); ok && p.Circuit.Net(in) == p.Circuit.Net(t) {
			return true
		}
	}
	return false
}

// turnedRound changes what ends at the input of a charger with what ends at its output,
// and their voltages with them.
func turnedRound(p *rules.Pass, q components.Part) (rules.Fix, bool) {
	var edits []components.Edit
	other := map[components.PortRef]components.PortRef{q.Ref("in"): q.Ref("out"), q.Ref("out"): q.Ref("in")}
	for _, at := range []components.PortRef{q.Ref("in"), q.Ref("out")} {
		for _, r := range p.Doc.RunsAt(at) {
			if other[r.Other(at)] != (components.PortRef{}) {
				return rules.Fix{}, false // from its input to its output
			}
			edit := r.Rerouted()
			edit.Path, edit.Cores = nil, p.Doc.CoresOf(r)
			if edit.From == at {
				edit.From = other[at]
			} else {
				edit.To = other[at]
			}
			edits = append(edits, edit)
		}
	}
	if in, out := q.Told("in_v"), q.Told("out_v"); in.Known() && out.Known() && in.String() != out.String() {
		edits = append(edits, set(q.ID, "in_v", out), set(q.ID, "out_v", in))
	}
	return rules.Fix{Title: fmt.Sprintf("Turn %s round: its input to the alternator's side, its output to the bank", q.ID), Edits: edits}, len(edits) > 0
}
