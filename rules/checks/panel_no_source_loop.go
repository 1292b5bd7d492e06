package checks

import (
	"fmt"
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// NoSourceLoop keeps an inverter's output apart from what feeds its input.
var NoSourceLoop = &rules.Rule{
	ID:    "panel.no-source-loop",
	Title: "An inverter's output comes back to its own input",
	Must:  "An inverter/charger is fed from one bar and feeds another: no way leads from its output back to its input, or to the bar that feeds it.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.33", Says: "an alternate source is kept from the supply conductors", Seen: rules.Memory},
		{Source: "NFPA 70 (NEC) 2023", Clause: "110.3(B)", Says: "an inverter that feeds its own input chatters or destroys itself", Seen: rules.Memory},
	},
	Level: rules.Danger,
	Check: noSourceLoop,
}

func noSourceLoop(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.InverterCharger || q.Gone() {
			continue
		}
		way := loopBack(p.Circuit, q.ID)
		if len(way) == 0 {
			continue
		}
		tie := tieOf(p, way)
		p.Report(rules.Finding{
			At: string(q.ID), Also: []string{string(tie)},
			Message: fmt.Sprintf("The output of %s comes back to its own input over %s: it feeds itself, and with the cord unplugged everything ahead of it is live", q.ID, tie),
			Working: []string{fmt.Sprintf("from %s.ac-out to %s.ac-in without passing %s: %s", q.ID, q.ID, q.ID, idsText(way))},
			Fixes:   []rules.Fix{{Title: fmt.Sprintf("Disconnect %s, so that input and output hang on bars of their own", tie), Edits: []components.Edit{components.RemoveRun{ID: tie}}}},
		})
	}
}

// loopBack gives the runs of a way from an inverter's output to its own input that
// does not pass through it, none where there is no such way.
func loopBack(c *circuit.Circuit, inv components.ID) []components.ID {
	for _, pole := range []components.Pole{components.L, components.L1, components.L2} {
		from, ok := c.At(inv, "ac-out", pole)
		if !ok {
			continue
		}
		walk := c.Walk(func(l *circuit.Link, o circuit.Term) bool {
			return l.Closed && l.Part != inv && c.Terms[o].Pole.Hot()
		}, from)
		for t := range walk.Nearest() {
			if c.Terms[t].Part == inv && c.Terms[t].Port == "ac-in" {
				way, _ := walk.Way(t)
				return runsBack(c, way)
			}
		}
	}
	return nil
}

// runsBack are the runs of a way, the last one first.
func runsBack(c *circuit.Circuit, way []int32) []components.ID {
	var runs []components.ID
	for _, i := range slices.Backward(way) {
		if l := &c.Links[i]; l.Run != "" {
			runs = append(runs, l.Run)
		}
	}
	return runs
}

// tieOf is the run of a loop that should not be there: the one that leads from a
// circuit of a panel to a circuit of another, where there is one.
func tieOf(p *rules.Pass, way []components.ID) components.ID {
	for _, id := range way {
		r, _ := p.Doc.Run(id)
		if onCircuit(p, r.From) && onCircuit(p, r.To) {
			return id
		}
	}
	return way[len(way)-1]
}

func onCircuit(p *rules.Pass, at components.PortRef) bool {
	q, _ := p.Doc.Part(at.Part)
	return q.Kind == &components.Panel && at.Port != "main"
}

func idsText(ids []components.ID) string {
	text := ""
	for i := len(ids) - 1; i >= 0; i-- {
		text += string(ids[i])
		if i > 0 {
			text += ", "
		}
	}
	return text
}
