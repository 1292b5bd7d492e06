package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// FuseNotBypassed finds a fuse or breaker that a conductor leads past.
var FuseNotBypassed = &rules.Rule{
	ID:    "overcurrent.not-bypassed",
	Title: "A conductor leads past a fuse or breaker",
	Must:  "With a fuse or breaker open its two sides are parted: no conductor joins them past it with no device of its own. What lies behind it is else protected by whatever stands ahead, and a blown fuse leaves it live.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "240.15(A)", Says: "an overcurrent device in series with each ungrounded conductor", Seen: rules.Memory},
		{Source: "a device opens what it stands in", Seen: rules.Practice},
	},
	Level: rules.Violation, Stateless: true,
	Check: fuseNotBypassed,
}

func fuseNotBypassed(p *rules.Pass) {
	nets := p.Circuit.Nets(func(l *circuit.Link) bool { return leadsPast(p, l) })
	for i, d := range p.Circuit.Unrated() {
		l := p.Circuit.Links[i]
		if nets[l.A] != nets[l.B] {
			continue
		}
		way := pastDevice(p, l, "")
		f := rules.Finding{
			At: d.Address(), Also: way,
			Message: fmt.Sprintf("%s opens nothing: its two sides are joined past it, over %s", d, list(ids(way))),
			Working: []string{fmt.Sprintf("conductors and contacts from one side of %s to the other with no device on them: %d", d, len(way))},
		}
		for _, id := range way {
			r, isRun := p.Doc.Run(components.ID(id))
			if own := r.From.Part == d.Part || r.To.Part == d.Part; isRun && !own && pastDevice(p, l, r.ID) == nil {
				f.Fixes = append(f.Fixes, rules.Fix{Title: fmt.Sprintf("Take %s out", r.ID), Edits: []components.Edit{components.RemoveRun{ID: r.ID}}})
			}
		}
		p.Report(f)
	}
}

// leadsPast tells whether a link carries current with no device of its own.
func leadsPast(p *rules.Pass, l *circuit.Link) bool {
	if !l.Closed || l.Bond || l.Protects() {
		return false
	}
	q, inside := p.Doc.Part(l.Part)
	return !inside || q.Kind.Role != components.Converts
}

// pastDevice are the runs and parts on a way round a device, but for one run; nil where
// there is none.
func pastDevice(p *rules.Pass, l circuit.Link, but components.ID) []string {
	c := p.Circuit
	links, _ := c.Walk(func(o *circuit.Link, _ circuit.Term) bool {
		return leadsPast(p, o) && (but == "" || o.Run != but)
	}, l.A).Way(l.B)
	return alongWay(c, links)
}
