package checks

import (
	"rigline/rules"
)

// Unsolved tells a state whose network has no solution.
var Unsolved = &rules.Rule{
	ID:    "supply.cannot-carry",
	Title: "A state cannot run as drawn",
	Must:  "In every state the sources carry what is switched on.",
	Basis: []rules.Basis{{Source: "Ohm's and Kirchhoff's laws, constant-power loads", Says: "the solved network", Seen: rules.Published}},
	Level: rules.Violation,
	Check: func(p *rules.Pass) {
		f := p.Solution().Failure
		if f == nil {
			return
		}
		at := string(f.At)
		if at == "" && len(p.Circuit.Sources) > 0 {
			at = string(p.Circuit.Sources[0].Part)
		}
		p.Report(rules.Finding{At: at, Message: "With everything on, " + f.Reason})
	},
}
