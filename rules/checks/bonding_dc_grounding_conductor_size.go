package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// DCGroundingSize holds the case ground of an inverter or charger to its DC
// positive conductor: a DC fault to the case comes back through it.
var DCGroundingSize = &rules.Rule{
	ID:    "bonding.dc-grounding-conductor-size",
	Title: "A case ground is too small for a DC fault",
	Must:  "The conductor that grounds the case of an inverter or charger is at most one size below its DC positive conductor, never under 16 AWG, and stands a DC fault until the DC fuse opens.",
	Basis: []rules.Basis{
		{Source: "ABYC E-11", Says: "DC grounding conductor at most one size below the positive conductor (a marine rule, not law in a vehicle); some later practice asks for the same size", Seen: rules.Published},
		{Source: "ABYC E-11", Says: "16 AWG at least (a marine standard, not law in a vehicle)", Seen: rules.Memory},
		{Source: "ICEA P-32-382", Says: "what a copper conductor bears, and for how long", Seen: rules.Published},
	},
	Level: rules.Danger, Stateless: true,
	Check: dcGroundingSize,
}

func dcGroundingSize(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		switch q.Kind {
		case &components.InverterCharger, &components.Inverter, &components.Charger:
			if !q.Gone() {
				caseGroundSize(p, q)
			}
		}
	}
}

func caseGroundSize(p *rules.Pass, q components.Part) {
	t, ok := p.Circuit.At(q.ID, "case", components.G)
	lead, leadSize := dcLead(p.Doc, q)
	if !ok {
		return
	}
	way := toFrame(p, t, func(l circuit.Link) bool { return l.Part == q.ID }) // not over its AC ports
	switch {
	case !way.Found || way.Unknown != "" || way.Thinnest == "":
		return // bonding.source-frames speaks
	case lead == "":
		for _, r := range p.Doc.RunsAt(q.Ref("dc")) {
			if _, told := r.Size(components.Pos); !told && !r.Gone() {
				p.Unchecked(string(r.ID), fmt.Sprintf("the size of %s is not known, so the case ground of %s cannot be held to it: read it off the jacket", r.ID, q.ID), string(q.ID))
				return
			}
		}
		return
	}
	want := oneSmaller(leadSize)
	small := way.Size.Less(want)
	f := rules.Finding{
		At: string(q.ID), Also: []string{string(way.Thinnest)}, Level: rules.Violation,
		Message: fmt.Sprintf("The case ground %s of %s is %s; its DC positive %s is %s, so %s is the least", way.Thinnest, q.ID, way.Size, lead, leadSize, want),
		Working: []string{fmt.Sprintf("DC positive %s is %s, one size below is %s", lead, leadSize, want)},
		Fixes:   []rules.Fix{{Title: fmt.Sprintf("Replace %s by %s", way.Thinnest, want), Edits: []components.Edit{groundSize(p.Doc, way.Thinnest, want.String())}}},
	}
	if !small {
		f.Message = fmt.Sprintf("The case ground %s of %s is %s", way.Thinnest, q.ID, way.Size)
		f.Working, f.Fixes = nil, nil
	}
	melts := false
	ground, _ := p.Doc.Run(way.Thinnest)
	if amps, working, ok := caseFault(p, q); ok {
		stands := bears(ground, way.Size, amps)
		feed, fed := bankFeed(p, q.ID, "dc")
		if fed && feed.HasDevice() && !feed.Unknown {
			if s, weak, opens := clearing(p, feed, nil, amps); s > stands && !weak {
				f.Level, melts = rules.Danger, true
				f.Message += ": it melts before the fuse opens"
				f.Working = append(f.Working, working, opens(), fmt.Sprintf("%s bears that for %s s (%d to %d °C)", way.Size, numText(stands), warmC, spoiltC))
			}
		}
	}
	if small || melts {
		p.Report(f)
	}
}

// caseFault is the highest current of a positive lead that lies on the case.
func caseFault(p *rules.Pass, q components.Part) (float64, string, bool) {
	pos, okP := p.Circuit.At(q.ID, "dc", components.Pos)
	neg, okN := p.Circuit.At(q.ID, "dc", components.Neg)
	if !okP || !okN {
		return 0, "", false
	}
	f, ok := p.Faults().HighestFault(pos, neg)
	return f.Amps, fmt.Sprintf("a positive lead on the case draws up to %s V / %s mΩ = %s A", numText(f.Volts), numText(1000*f.Ohms), numText(math.Round(f.Amps))), ok
}
