package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// TransferPoles asks for a switched neutral where two bonded sources share a
// transfer switch.
var TransferPoles = &rules.Rule{
	ID:    "transfer.poles-match-system",
	Title: "The transfer switch leaves the neutral solid between two bonded sources",
	Must:  "A transfer switch has one pole per line, and a neutral pole whenever more than one of its sources carries its own neutral bond.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "250.20, 250.30, 702.5", Says: "a separately derived system has its own bond, and its neutral is switched", Seen: rules.Published},
	},
	Level: rules.Danger, Stateless: true,
	Check: transferPoles,
}

// transferPoles looks at each switch with a solid neutral and at the bonds that
// each side's own network holds with the switch taken out.
func transferPoles(p *rules.Pass) {
	if !p.First() {
		return
	}
	for _, ts := range p.Doc.Parts() {
		if ts.Kind != &components.TransferSwitch || ts.Gone() {
			continue
		}
		if !switchesNeutral(ts) {
			a, b := bondedBehind(p, ts, "a"), bondedBehind(p, ts, "b")
			if a != "" && b != "" && a != b {
				p.Report(rules.Finding{
					At: string(ts.ID), Also: []string{a, b},
					Message: fmt.Sprintf("%s leaves the neutral solid between %s and %s, which are both bonded: neutral and ground meet twice", ts.ID, a, b),
					Fixes:   []rules.Fix{{Title: "Fit a switch that also switches the neutral as " + string(ts.ID), Edits: []components.Edit{withNeutral(ts)}}},
				})
			}
		}
		hotPoles(p, ts)
	}
}

// hotPoles finds a hot that runs straight through the switch.
func hotPoles(p *rules.Pass, ts components.Part) {
	for _, j := range ts.Kind.Joins(ts.Spec) {
		if j.When == components.Fixed && j.APole.Hot() && j.APort == "a" {
			words, _ := ts.Value("switches")
			p.Report(rules.Finding{
				At:      string(ts.ID),
				Message: fmt.Sprintf("%s does not switch %s: both supplies meet there", ts.ID, j.APole),
				Fixes: []rules.Fix{{Title: fmt.Sprintf("Switch %s in %s too", j.APole, ts.ID),
					Edits: []components.Edit{set(ts.ID, "switches", components.Words(append([]string{string(j.APole)}, words.Words()...)...))}}},
			})
		}
	}
}

// bondedBehind names the source with a neutral bond of its own that feeds a side
// of the switch: a site, a bonded generator, a bonded inverter.
func bondedBehind(p *rules.Pass, ts components.Part, side string) string {
	c := p.Circuit
	start, ok := c.At(ts.ID, side, components.N)
	if !ok {
		return ""
	}
	for t := range c.Walk(func(l *circuit.Link, o circuit.Term) bool {
		return l.Part != ts.ID && c.Terms[o].Pole == components.N
	}, start).Nearest() {
		q, _ := p.Doc.Part(c.Terms[t].Part)
		switch q.Kind {
		case &components.Shore:
			return string(q.ID)
		case &components.Generator, &components.Inverter:
			if q.Is("bonded") {
				return string(q.ID)
			}
		case &components.InverterCharger:
			if c.Terms[t].Port == "ac-out" && (q.Is("bond_relay") || q.Is("bonded")) {
				return string(q.ID)
			}
		}
	}
	return ""
}
