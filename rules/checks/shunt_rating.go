package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// ShuntRating holds a shunt to its current, and its sense lead to a fuse.
var ShuntRating = &rules.Rule{
	ID:    "shunt.rating",
	Title: "The shunt is too small, or its sense lead has no fuse",
	Must:  "A shunt carries at most two thirds of its rating for good and its rating for seconds. Its positive sense lead has a fuse of 1 A or less within 7 in of the post.",
	Basis: []rules.Basis{
		{Source: "two thirds of the rating for good; a sense fuse of 1 A", Seen: rules.Practice},
		{Source: "33 CFR 183", Clause: "183.455(b)", Says: "the lead is protected within 7 in of its source (a marine rule, not law in a vehicle)", Seen: rules.Published},
	},
	Level: rules.Danger, Stateless: true,
	Check: func(p *rules.Pass) {
		eachShunt(p, shuntRating)
		eachShunt(p, senseLead)
	},
}

func shuntRating(p *rules.Pass, sht components.Part, bank, _ circuit.Term) {
	d, amps, surge, through := p.Demand(), 0.0, 0.0, 0
	for i, l := range p.Circuit.Links {
		if l.Part == sht.ID {
			amps, surge, through = d.Amps[i], d.Surge[i], i
		}
	}
	rating := sht.Figure("rating_a")
	if !rating.Known() {
		p.Unchecked(string(sht.ID), fmt.Sprintf("rating_a of %s is not known: read it off the shunt (%s)", sht.ID, leastText(p, 1.5*amps, through)))
		return
	}
	good := rating.Value * 2 / 3
	f := rules.Finding{At: string(sht.ID), Level: rules.Advice, Working: []string{
		fmt.Sprintf("largest continuous current = %s A; two thirds of %s A = %s A", numText(amps), numText(rating.Value), numText(good)),
	}}
	switch {
	case amps > rating.Value:
		f.Level = rules.Violation
		f.Message = fmt.Sprintf("%s carries up to %s A and is rated %s A", sht.ID, numText(amps), numText(rating.Value))
	case amps > good*1.001:
		f.Message = fmt.Sprintf("%s carries up to %s A for hours; two thirds of its %s A are %s A", sht.ID, numText(amps), numText(rating.Value), numText(good))
	case surge > rating.Value*1.001:
		f.Message = fmt.Sprintf("A surge drives %s A through %s, rated %s A: it reads wrong and warms for those seconds", numText(surge), sht.ID, numText(rating.Value))
	default:
		askDemand(p, bank, string(sht.ID))
		return
	}
	want := by50(math.Max(1.5*amps, surge))
	f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Fit a shunt of %s A as %s", numText(want), sht.ID), Edits: []components.Edit{set(sht.ID, "rating_a", components.Num(want))}}}
	p.Report(f)
}

func senseLead(p *rules.Pass, sht components.Part, bank, _ circuit.Term) {
	v, from := sht.Value("sense_lead")
	switch {
	case from == components.Missing:
		p.Unchecked(string(sht.ID), fmt.Sprintf("sense_lead of %s is not told: follow the thin lead from %s to the battery's positive, and look for a fuse of 1 A or less within 7 in of the post", sht.ID, sht.ID))
	case v.Str() == "unfused":
		f := rules.Finding{
			At: sht.Ref("battery").String(), Level: rules.Violation,
			Message: fmt.Sprintf("The positive sense lead of %s has no fuse: a chafed lead burns along its length", sht.ID),
			Fixes:   []rules.Fix{{Title: fmt.Sprintf("Fit a 1 A fuse in the sense lead of %s, within 7 in of the post", sht.ID), Edits: []components.Edit{set(sht.ID, "sense_lead", components.Str("fused"))}}},
		}
		for _, id := range houseBanks(p, negatives(p, bank)) {
			f.Also = append(f.Also, string(id))
			if q, _ := p.Doc.Part(id); q.Word("chemistry") == "lfp" {
				f.Level = rules.Danger
			}
		}
		p.Report(f)
	}
}
