package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
)

// CrossedPoles finds a conductor that joins what must never be joined.
var CrossedPoles = &rules.Rule{
	ID:    "conductor.crossed-poles",
	Title: "A conductor joins two poles that must never meet",
	Must:  "A conductor joins hot to hot, neutral to neutral, ground to ground, positive to positive, negative to negative; a bond alone joins neutral or negative to ground.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "200.11, 250.6", Says: "polarity kept; no grounded conductor where it reverses", Seen: rules.Memory},
		{Source: "Ohm's law", Says: "such a conductor is a short circuit or a reversed device", Seen: rules.Published},
	},
	Level: rules.Danger, Wiring: true,
	Explains: []string{"fault.far-end-clears", "neutral.returns-to-own-source", "supply.cannot-carry", "load.never-fed"},
	Check: func(p *rules.Pass) {
		if !p.First() {
			return
		}
		for _, r := range p.Doc.Runs() {
			if r.Gone() {
				continue
			}
			for _, c := range p.Doc.CoresOf(r) {
				a, b := class(c.From), class(c.To)
				bond := a == "ground" && (b == "neutral" || b == "negative") || b == "ground" && (a == "neutral" || a == "negative")
				if a == b || bond {
					continue
				}
				p.Report(rules.Finding{
					At: string(r.ID), Also: []string{r.From.String(), r.To.String()},
					Message: fmt.Sprintf("%s joins the %s of %s to the %s of %s", r.ID, a, r.From, b, r.To),
					Fixes:   uncross(p, r),
				})
			}
		}
	},
}

// class is what a pole is, whatever leg it stands on.
func class(p components.Pole) string {
	switch p {
	case components.N:
		return "neutral"
	case components.G:
		return "ground"
	case components.Pos:
		return "positive"
	case components.Neg:
		return "negative"
	}
	return "hot"
}

// uncross takes the crossed cores out of a run, or the run where nothing is left.
func uncross(p *rules.Pass, r components.Run) []rules.Fix {
	edit := r.Rerouted()
	edit.Cores = nil
	for _, c := range p.Doc.CoresOf(r) {
		if class(c.From) == class(c.To) {
			edit.Cores = append(edit.Cores, c)
		}
	}
	if len(edit.Cores) == 0 {
		return []rules.Fix{{Title: fmt.Sprintf("Disconnect %s", r.ID), Edits: []components.Edit{components.RemoveRun{ID: r.ID}}}}
	}
	return []rules.Fix{{Title: fmt.Sprintf("Take the crossed conductor out of %s", r.ID), Edits: []components.Edit{edit}}}
}
