package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
)

// LooseEnd finds junctions at which a run ends and nothing goes on.
var LooseEnd = &rules.Rule{
	ID:    "conductor.loose-end",
	Title: "A conductor ends loose",
	Must:  "Every conductor ends at a terminal, or is capped inside a box; one that is live while its end lies bare shocks or shorts.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "110.14(B)", Says: "the free ends of conductors are covered with an insulation equivalent to that of the conductors", Seen: rules.Memory},
	},
	Level: rules.Danger,
	Check: func(p *rules.Pass) {
		for _, j := range p.Doc.Parts() {
			if j.Kind != &components.Splice || j.Gone() {
				continue
			}
			var ends []components.Run
			for _, r := range p.Doc.RunsOf(j.ID) {
				if !r.Gone() {
					ends = append(ends, r)
				}
			}
			if len(ends) == 1 {
				looseEnd(p, j, ends[0])
			}
		}
	},
}

func looseEnd(p *rules.Pass, j components.Part, r components.Run) {
	live := ""
	for _, core := range p.Doc.CoresOf(r) {
		if !core.From.Hot() && core.From != components.Pos {
			continue
		}
		if t, ok := p.Circuit.Term(r.From.At(core.From)); ok && p.Circuit.Live(t) {
			live = string(core.From)
		}
	}
	f := rules.Finding{At: string(j.ID), Also: []string{string(r.ID)},
		Message: fmt.Sprintf("%s ends loose at %s: nothing goes on from there", r.ID, j.ID)}
	if live == "" {
		f.Level = rules.Violation
	} else {
		f.Message += fmt.Sprintf(", and its %s is live", live)
	}
	f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Take %s and its loose end out", r.ID), Edits: []components.Edit{components.RemoveRun{ID: r.ID}, components.RemovePart{ID: j.ID}}}}
	p.Report(f)
}
