package checks

import (
	"fmt"
	"strings"

	"rigline/components"
	"rigline/rules"
)

// GroundPath asks for an unbroken ground from every load back to the source that
// feeds it.
var GroundPath = &rules.Rule{
	ID:    "bonding.ground-path-unbroken",
	Title: "The ground does not lead back to the source",
	Must:  "In every state the ground of each load leads over conductors alone back to the source that feeds it; the frame and the earth are no such conductor.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "250.4(A)(5)", Says: "a path of low impedance from any fault back to the source; the earth is no such path", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2023", Clause: "551.54(A), 551.55", Says: "the same in a vehicle", Seen: rules.Memory},
	},
	Level:    rules.Danger,
	Explains: []string{"fault.far-end-clears", "bonding.equipment-ground-size", "bonding.ground-with-circuit", "bonding.source-frames"},
	Check:    func(p *rules.Pass) { brokenReturn(p, components.G) },
}

// brokenReturn finds loads whose ground or neutral is cut off from the source
// that feeds their hot, and tells them together, source by source.
func brokenReturn(p *rules.Pass, pole components.Pole) {
	c := p.Circuit
	cut := map[components.ID][]string{}
	for _, q := range p.Doc.Parts() {
		if q.Gone() || q.Kind.Role != components.Uses {
			continue
		}
		back, ok := c.At(q.ID, "in", pole)
		if !ok || len(c.LinksAt(back)) == 0 || pole == components.N && q.Figure("hots").Value == 2 {
			continue // a load without the conductor at all: neutral.returns-to-own-source speaks
		}
		for _, hot := range []components.Pole{components.L, components.L1, components.L2} {
			t, ok := c.At(q.ID, "in", hot)
			if !ok || !c.Live(t) {
				continue
			}
			src := c.Feeds(t)[0]
			home, ok := c.Term(c.Terms[src.Hot].PortRef.At(pole))
			if ok && c.Net(home) != c.Net(back) {
				cut[src.Part] = append(cut[src.Part], string(q.ID))
			}
			break
		}
	}
	what, so := "ground", "a hot wire on their cases or on the frame opens no breaker"
	if pole == components.N {
		what, so = "neutral", "the legs' voltages go where the loads push them, and the return runs through ground"
	}
	for _, q := range p.Doc.Parts() {
		if loads := cut[q.ID]; len(loads) > 0 {
			p.Report(rules.Finding{
				At: string(q.ID), Also: loads,
				Message: fmt.Sprintf("The %s of %s does not lead back to %s, which feeds them: %s", what, strings.Join(loads, ", "), q.ID, so),
				Fixes:   missingCores(p, pole),
			})
		}
	}
}

// missingCores brings a pole along in runs that carry a hot without it, where it
// is broken there.
func missingCores(p *rules.Pass, pole components.Pole) []rules.Fix {
	var fixes []rules.Fix
	for _, r := range p.Doc.Runs() {
		hot, has := false, false
		for _, c := range p.Doc.CoresOf(r) {
			hot, has = hot || c.From.Hot(), has || c.From == pole
		}
		a, okA := p.Circuit.Term(r.From.At(pole))
		b, okB := p.Circuit.Term(r.To.At(pole))
		if !hot || has || r.Gone() || !okA || !okB || p.Circuit.Net(a) == p.Circuit.Net(b) {
			continue
		}
		edit := r.Rerouted()
		edit.Cores = append(append([]components.Core{}, p.Doc.CoresOf(r)...), components.Core{From: pole, To: pole})
		fixes = append(fixes, rules.Fix{Title: fmt.Sprintf("Bring %s along in %s", pole, r.ID), Edits: []components.Edit{edit}})
	}
	if pole == components.N {
		return oneBondAfter(p, fixes) // a neutral brought along may bring a second bond
	}
	return fixes
}
