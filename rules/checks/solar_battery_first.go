package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// BatteryFirst asks for a means to take the array off its controller, so that the
// battery is connected first and taken off last.
var BatteryFirst = &rules.Rule{
	ID:    "solar.battery-first",
	Title: "The array cannot be taken off its controller",
	Must:  "A switch or breaker for DC stands between each array and its controller, rated for 125 % of the array's short-circuit current. (overcurrent.voltage-rating holds it to the cold voltage.)",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2017", Clause: "690.13, 690.15", Says: "a means to isolate the array and the controller", Seen: rules.Published},
		{Source: "the battery is connected before the array and taken off after it", Seen: rules.Practice},
	},
	Level: rules.Violation, Stateless: true,
	Check: func(p *rules.Pass) {
		eachController(p, func(cc components.Part, arrays []pvArray) {
			for _, q := range arrays {
				isolator(p, cc, q, arrays)
			}
		})
	},
}

func isolator(p *rules.Pass, cc components.Part, q pvArray, arrays []pvArray) {
	in, _ := p.Circuit.At(cc.ID, "pv", components.Pos)
	isc, missing, working := 0.0, components.ID(""), ""
	var small *components.Part
	for i, l := range p.Circuit.Links {
		if l.Part == "" || !byHand(p, l) || p.Circuit.Net(l.A) != p.Circuit.Net(in) {
			continue
		}
		cut := cutOff(p.Circuit, i, in, arrays)
		if !contains(cut, q.ID) {
			continue
		}
		sw, _ := p.Doc.Part(l.Part)
		isc, missing, working = shortCircuitAmps(cut)
		rating := sw.Figure("rating_a")
		if missing != "" {
			p.Unchecked(string(missing), fmt.Sprintf("isc_a of %s is not known, so %s cannot be held to it: read the label on the back of a module", missing, sw.ID), string(sw.ID))
			return
		}
		if !rating.Known() {
			p.Unchecked(string(sw.ID), fmt.Sprintf("rating_a of %s is not known: read it off the device (%s A at least)", sw.ID, numText(brightSun*isc)), string(q.ID))
			return
		}
		if rating.Value >= brightSun*isc {
			return
		}
		small = &sw
	}
	if small != nil {
		want := math.Ceil(brightSun*isc/8) * 8
		p.Report(rules.Finding{
			At: string(small.ID), Also: []string{string(q.ID)},
			Message: fmt.Sprintf("%s is %s A; %s asks for %s A", small.ID, numText(small.Figure("rating_a").Value), q.ID, numText(brightSun*isc)),
			Working: []string{working, fmt.Sprintf("125 %% × %s A = %s A", numText(isc), numText(brightSun*isc))},
			Fixes:   []rules.Fix{{Title: fmt.Sprintf("Fit %s A as %s", numText(want), small.ID), Edits: []components.Edit{set(small.ID, "rating_a", components.Num(want))}}},
		})
		return
	}
	f := rules.Finding{
		At: string(q.ID), Also: []string{string(cc.ID)},
		Message: fmt.Sprintf("Nothing takes %s off %s: whoever opens the battery side first leaves the controller on the array alone", q.ID, cc.ID),
	}
	if fix, ok := isolatorFix(p, cc, q, arrays); ok {
		f.Fixes = []rules.Fix{fix}
	}
	p.Report(f)
}

func contains(arrays []pvArray, id components.ID) bool {
	for _, q := range arrays {
		if q.ID == id {
			return true
		}
	}
	return false
}

// byHand tells whether a link is a contact that a hand opens without a tool.
func byHand(p *rules.Pass, l circuit.Link) bool {
	q, _ := p.Doc.Part(l.Part)
	return l.Join.When == components.Closable && (q.Kind == &components.DCSwitch || q.Kind == &components.DCBreaker)
}

// isolatorFix puts a switch into the last run before the controller.
func isolatorFix(p *rules.Pass, cc components.Part, q pvArray, arrays []pvArray) (rules.Fix, bool) {
	isc, missing, _ := shortCircuitAmps(arrays)
	volts, _ := coldVoc(q)
	for _, r := range p.Doc.RunsAt(cc.Ref("pv")) {
		if r.Gone() || missing != "" || !hasCore(p.Doc, r, components.Pos) {
			continue
		}
		amps, rated := math.Ceil(brightSun*isc/8)*8, math.Max(50, math.Ceil(volts/50)*50)
		sw := components.Part{ID: p.Doc.FreeID("SW"), Kind: &components.DCSwitch, Name: "Array isolator", At: towards(p.Doc, cc.Ref("pv"), r.Other(cc.Ref("pv"))),
			Spec: components.Spec{"rating_a": components.Num(amps), "volts_dc": components.Num(rated)}}
		return rules.Fix{Title: fmt.Sprintf("Fit an isolator of %s A and %s V DC between %s and %s", numText(amps), numText(rated), q.ID, cc.ID),
			Edits: insertInPole(p.Doc, r, components.Pos, sw, "line", "load")}, true
	}
	return rules.Fix{}, false
}

func hasCore(doc *components.Document, r components.Run, pole components.Pole) bool {
	for _, c := range doc.CoresOf(r) {
		if c.From == pole && c.To == pole {
			return true
		}
	}
	return false
}
