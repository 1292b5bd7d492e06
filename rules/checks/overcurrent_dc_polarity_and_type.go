package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/tables"
)

// PolarityAndType asks for DC devices that suit how the current flows.
var PolarityAndType = &rules.Rule{
	ID:    "overcurrent.dc-polarity-and-type",
	Title: "A DC breaker cannot open the current that it carries",
	Must:  "A polarity-marked breaker stands where current flows one way only, in a short too: not between a bank and what charges it; no breaker that closes itself again is the sole protection.",
	Basis: []rules.Basis{
		{Source: "33 CFR 183", Clause: "183.455(a)", Says: "trip-free and reset by hand (a marine rule, not law in a vehicle)", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2017", Clause: "706.21(C)", Says: "listed for direct current (binding above 60 V, quoted as engineering basis below)", Seen: rules.Published},
		{Source: "a polarity-marked breaker quenches its arc in one direction of current only", Seen: rules.Practice},
	},
	Level: rules.Danger, Stateless: true,
	Check: polarityAndType,
}

// flows is the least current, in A, that counts as a direction.
const flows = 0.5

func polarityAndType(p *rules.Pass) {
	d := p.Demand()
	for i, l := range p.Circuit.Links {
		q, _ := p.Doc.Part(l.Part)
		if q.Kind != &components.DCBreaker || l.Join.When != components.Closable {
			continue
		}
		askMarked(p, q, "reset", "whether it closes itself again on a short is not: look for a button or a lever that stays out")
		if q.Word("reset") == "automatic" {
			p.Report(rules.Finding{
				At: string(q.ID), Level: rules.Violation,
				Message: fmt.Sprintf("%s closes itself again after it has tripped: a short behind it is fed again and again", q.ID),
				Fixes:   []rules.Fix{{Title: fmt.Sprintf("Fit a breaker that is reset by hand as %s", q.ID), Edits: clearTold(q, "reset")}},
			})
		}
		out, back := d.Drawing.Amps(i), d.Charging.Amps(i)
		turns := out*back < 0 && min(max(out, -out), max(back, -back)) >= flows
		if !turns && !chargesAlone(p, i, out, back) {
			continue
		}
		family, toldForm := tables.FuseFamily(q.Word("family"))
		v, toldMark := q.Value("polarised")
		switch reversible := family.Reversible || !toldForm; {
		case toldMark != components.Missing && !v.Truth() && reversible:
			continue
		case toldMark == components.Missing && reversible:
			how := fmt.Sprintf("the current through it turns round (%s A out, %s A back)", numText(max(out, -out)), numText(max(back, -back)))
			if !turns {
				how = "a short in what charges there is fed by the bank the other way"
			}
			p.Unchecked(string(q.ID), fmt.Sprintf("polarised of %s is not known, and %s: look for + and − or an arrow beside its terminals", q.ID, how))
			continue
		}
		fix := rules.Fix{Title: fmt.Sprintf("Fit a breaker with no polarity mark as %s", q.ID), Edits: []components.Edit{set(q.ID, "family", components.Str("breaker-molded-dc")), set(q.ID, "polarised", components.Yes(false))}}
		if !turns {
			p.Report(rules.Finding{
				At:      string(q.ID),
				Message: fmt.Sprintf("%s is polarity marked, and %s A of charge pass it one way while a short behind it is fed by the bank the other way: one of the two its arc does not let go", q.ID, numText(max(back, -back))),
				Working: []string{fmt.Sprintf("charge sources %s A towards the bank; the bank's fault current the other way", numText(max(back, -back)))},
				Fixes:   []rules.Fix{fix},
			})
			continue
		}
		p.Report(rules.Finding{
			At:      string(q.ID),
			Message: fmt.Sprintf("%s is polarity marked, but %s A leave through it and %s A come back while the bank is charged: one way its arc does not go out", q.ID, numText(max(out, -out)), numText(max(back, -back))),
			Working: []string{fmt.Sprintf("inverters and loads %s A, charge sources %s A the other way", numText(max(out, -out)), numText(max(back, -back)))},
			Fixes:   []rules.Fix{fix},
		})
	}
}

// chargesAlone tells whether a link only ever brings charge to a bank, which would feed a
// short at its other end.
func chargesAlone(p *rules.Pass, link int, out, back float64) bool {
	if max(back, -back) < flows || max(out, -out) >= flows {
		return false
	}
	for _, f := range p.Feeds()[link] {
		l := p.Circuit.Links[link]
		if f.Source.Stores && (f.Enters == l.B) == (back > 0) { // the charge arrives where the bank's current leaves
			return true
		}
	}
	return false
}
