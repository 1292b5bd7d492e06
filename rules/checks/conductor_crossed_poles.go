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
	Must:  "A conductor joins hot to hot, neutral to neutral, ground to ground, positive to positive, negative to negative; a bond alone joins neutral or negative to ground. Blocks in series are drawn as one battery that tells how many: no rule adds up the voltages of two symbols.",
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
				if f, ok := seriesJoint(p, r, c); ok {
					p.Report(f)
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

// seriesJoint tells of a run that puts two batteries in series, which are then two
// symbols for one; batteries that stand in parallel as well it shorts.
func seriesJoint(p *rules.Pass, r components.Run, c components.Core) (rules.Finding, bool) {
	high, low := r.From, r.To // the block whose negative it takes, and the one below it
	if c.From == components.Pos {
		high, low = low, high
	}
	top, okTop := p.Doc.Part(high.Part)
	bottom, okBottom := p.Doc.Part(low.Part)
	if !okTop || !okBottom || top.Kind != &components.Battery || bottom.Kind != &components.Battery || high.Port != "neg" || low.Port != "pos" || top.ID == bottom.ID || sameNet(p, top, bottom, "pos", components.Pos) || sameNet(p, top, bottom, "neg", components.Neg) {
		return rules.Finding{}, false
	}
	f := rules.Finding{
		At: string(r.ID), Also: []string{string(top.ID), string(bottom.ID)}, Level: rules.Violation,
		Message: fmt.Sprintf("%s puts %s and %s in series as two symbols, and no rule adds up their voltages: draw them as one battery with two blocks in series", r.ID, top.ID, bottom.ID),
	}
	if fix, ok := oneSymbol(p, r, top, bottom); ok {
		f.Fixes = []rules.Fix{fix}
	} else {
		f.Message += ". What is joined between them takes from one block alone, and the two drift apart: feed it over a step-down"
	}
	return f, true
}

func sameNet(p *rules.Pass, a, b components.Part, port string, pole components.Pole) bool {
	x, okX := p.Circuit.At(a.ID, port, pole)
	y, okY := p.Circuit.At(b.ID, port, pole)
	return okX && okY && p.Circuit.Net(x) == p.Circuit.Net(y)
}

// oneSymbol makes two like batteries in series one, where nothing else is joined
// between them.
func oneSymbol(p *rules.Pass, joint components.Run, top, bottom components.Part) (rules.Fix, bool) {
	for _, key := range []string{"chemistry", "nominal_v", "capacity_ah", "parallel"} {
		a, _ := top.Value(key)
		if b, _ := bottom.Value(key); a.String() != b.String() {
			return rules.Fix{}, false
		}
	}
	if len(p.Doc.RunsAt(top.Ref("neg"))) != 1 || len(p.Doc.RunsAt(bottom.Ref("pos"))) != 1 {
		return rules.Fix{}, false
	}
	edits := []components.Edit{components.RemoveRun{ID: joint.ID}}
	for _, r := range p.Doc.RunsAt(top.Ref("pos")) {
		edit := r.Rerouted()
		if edit.Path = nil; edit.From == top.Ref("pos") {
			edit.From = bottom.Ref("pos")
		} else {
			edit.To = bottom.Ref("pos")
		}
		edits = append(edits, edit)
	}
	n := top.Figure("series").Value + bottom.Figure("series").Value
	edits = append(edits, components.RemovePart{ID: top.ID}, set(bottom.ID, "series", components.Num(n)))
	return rules.Fix{Title: fmt.Sprintf("Draw %s and %s as one battery of %s blocks in series, %s", top.ID, bottom.ID, numText(n), bottom.ID), Edits: edits}, true
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
