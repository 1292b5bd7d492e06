package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// NoBypass asks that no chassis and no conductor leads round a shunt.
var NoBypass = &rules.Rule{
	ID:    "shunt.no-bypass-path",
	Title: "A path leads round the shunt",
	Must:  "With the shunt taken out, the bank's negative touches neither the chassis nor any other negative.",
	Basis: []rules.Basis{
		{Source: "follows from the single bond between negative and chassis", Seen: rules.Practice},
	},
	Level: rules.Violation, Stateless: true,
	Check: func(p *rules.Pass) { eachShunt(p, noBypass) },
}

func noBypass(p *rules.Pass, sht components.Part, bank, system circuit.Term) {
	c := p.Circuit
	onBank := negatives(p, bank)
	if len(houseBanks(p, onBank)) == 0 && len(houseBanks(p, negatives(p, system))) > 0 {
		return // turned round: shunt.all-negatives-through speaks
	}
	if _, round := onBank[system]; round {
		f := rules.Finding{At: string(sht.ID), Message: fmt.Sprintf("A conductor leads round %s: it counts a part of the current only", sht.ID)}
		for t, run := range onBank {
			if r, ok := p.Doc.Run(run); ok && t == system && len(p.Doc.CoresOf(r)) == 1 {
				f.Also = []string{string(run)}
				f.Fixes = []rules.Fix{{Title: "Remove " + string(run), Edits: []components.Edit{components.RemoveRun{ID: run}}}}
			}
		}
		p.Report(f)
		return
	}
	// Through the frame: a bond on the bank's side, and whatever else ties the
	// system's side to the frame.
	around := c.Nets(func(l *circuit.Link) bool { return l.Closed && l.Part != sht.ID })
	for _, l := range c.Links {
		if !l.Closed || !l.Bond {
			continue
		}
		t, _ := c.BondEnds(l)
		if _, on := onBank[t]; !on {
			continue
		}
		bankBond(p, sht, l, onBank, system, around[bank] == around[system])
	}
}

func bankBond(p *rules.Pass, sht components.Part, l circuit.Link, onBank map[circuit.Term]components.ID, system circuit.Term, closed bool) {
	at := l.Address()
	f := rules.Finding{
		At: at, Also: []string{string(sht.ID)}, Level: rules.Advice,
		Message: fmt.Sprintf("The chassis bond %s stands on the bank's side of %s: whatever returns over the chassis is not counted", at, sht.ID),
	}
	if closed {
		f.Level = rules.Violation
		f.Message = fmt.Sprintf("The chassis bond %s on the bank's side of %s and another tie of the system's negative to the chassis close a path round it", at, sht.ID)
	}
	to := systemEnd(p, sht, system)
	run := components.ID(at)
	if _, isRun := p.Doc.Run(run); !isRun {
		for t, by := range onBank {
			if p.Circuit.Terms[t].Part == components.ID(at) {
				run = by
			}
		}
	}
	if secondBond(p, system) {
		f.Fixes = []rules.Fix{{Title: "Remove " + at, Edits: p.Doc.Delete(components.ID(at))}}
	} else if edits, ok := moveEnd(p, run, onBank, to); ok {
		f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Move %s to %s", run, to), Edits: edits}}
	}
	p.Report(f)
}

// secondBond tells whether the system's side has a bond of its own.
func secondBond(p *rules.Pass, system circuit.Term) bool {
	met := negatives(p, system)
	for _, l := range p.Circuit.Links {
		_, a := met[l.A]
		_, b := met[l.B]
		if l.Closed && l.Bond && (a || b) {
			return true
		}
	}
	return false
}
