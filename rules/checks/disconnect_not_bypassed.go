package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// NotBypassed finds a switch that opens nothing.
var NotBypassed = &rules.Rule{
	ID:    "disconnect.not-bypassed",
	Title: "A conductor leads past a switch",
	Must:  "With a DC switch open its two sides are parted: no run, fuse or bar joins them past it. Two switches beside each other, as a relay and the hand switch for when it fails, are meant so.",
	Basis: []rules.Basis{
		{Source: "a switch opens what it stands in", Seen: rules.Practice},
	},
	Level: rules.Violation, Stateless: true,
	Check: func(p *rules.Pass) {
		if !p.First() {
			return
		}
		c := p.Circuit
		for _, l := range c.Links {
			q, _ := p.Doc.Part(l.Part)
			if l.Run != "" || q.Kind != &components.DCSwitch {
				continue
			}
			way, ok := past(p, l, "")
			if !ok {
				continue
			}
			f := rules.Finding{
				At: string(q.ID), Also: way,
				Message: fmt.Sprintf("%s opens nothing: its two sides are joined past it, over %s", q.ID, list(ids(way))),
				Working: []string{"ways from one side to the other with every switch open: 1 or more"},
			}
			for _, id := range way {
				if r, isRun := p.Doc.Run(components.ID(id)); isRun {
					if _, still := past(p, l, r.ID); !still {
						f.Fixes = append(f.Fixes, rules.Fix{Title: fmt.Sprintf("Take %s out", r.ID), Edits: []components.Edit{components.RemoveRun{ID: r.ID}}})
						break
					}
				}
			}
			p.Report(f)
		}
	},
}

// past is the way from one side of a switch to the other with every switch open, as the
// runs and parts along it, but for one run.
func past(p *rules.Pass, l circuit.Link, but components.ID) ([]string, bool) {
	c := p.Circuit
	pole := c.Terms[l.A].Pole
	links, ok := c.Walk(func(o *circuit.Link, t circuit.Term) bool {
		q, _ := p.Doc.Part(o.Part)
		return o.Closed && !o.Bond && c.Terms[t].Pole == pole && !(o.Run == "" && (q.Kind == &components.DCSwitch || q.Kind.Role == components.Converts)) && (but == "" || o.Run != but)
	}, l.A).Way(l.B)
	return alongWay(c, links), ok
}

// alongWay are the runs and parts that links belong to.
func alongWay(c *circuit.Circuit, links []int32) []string {
	var way []string
	for _, i := range links {
		way = append(way, c.Links[i].Address())
	}
	return way
}

func ids(tags []string) []components.ID {
	all := make([]components.ID, len(tags))
	for i, t := range tags {
		all[i] = components.ID(t)
	}
	return all
}
