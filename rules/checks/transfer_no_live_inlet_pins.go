package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// DeadPins keeps the pins of the inlet dead while another source feeds the rig.
var DeadPins = &rules.Rule{
	ID:    "transfer.no-live-inlet-pins",
	Title: "The inlet's pins are live",
	Must:  "With shore unplugged the inlet's pins are dead while the generator or the inverter runs.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "406.7, 551.33", Says: "exposed blades are never energized", Seen: rules.Memory},
	},
	Level: rules.Danger,
	Check: func(p *rules.Pass) {
		if p.State.Shore != "" {
			return
		}
		c := p.Circuit
		for _, q := range p.Doc.Parts() {
			if q.Kind != &components.Inlet || q.Gone() {
				continue
			}
			for _, pole := range []components.Pole{components.L1, components.L2, components.L} {
				t, ok := c.At(q.ID, "site", pole)
				if !ok || !c.Live(t) {
					continue
				}
				src, inside := fromInside(c, q.ID, t)
				if !inside {
					continue // a carried source is plugged into the inlet: its pins are covered
				}
				p.Report(rules.Finding{
					At: string(q.ID), Also: []string{string(src)},
					Message: fmt.Sprintf("With the cord unplugged, %s puts %s V on the bare pins of %s", src, numText(p.Doc.MainsVolts()), q.ID),
					Working: []string{fmt.Sprintf("%s reaches %s through closed contacts", src, c.Terms[t])},
					Fixes:   backfeedFixes(p, src),
				})
				break
			}
		}
	},
}

// fromInside names a source that reaches the inlet's pins through the rig, and
// not over what is plugged into the pins.
func fromInside(c *circuit.Circuit, inlet components.ID, pin circuit.Term) (components.ID, bool) {
	nets := c.Nets(func(l *circuit.Link) bool { return l.Closed && !l.Bond && l.Part != inlet })
	for _, s := range c.Feeds(pin) {
		if nets[s.Hot] != nets[pin] {
			return s.Part, true
		}
	}
	return "", false
}

// backfeedFixes take out the run that carries a source's output to the rest.
func backfeedFixes(p *rules.Pass, src components.ID) []rules.Fix {
	var fixes []rules.Fix
	for _, r := range p.Doc.RunsOf(src) {
		for _, end := range []components.PortRef{r.From, r.To} {
			if end.Part == src && (end.Port == "ac-out" || end.Port == "out") {
				fixes = append(fixes, rules.Fix{Title: fmt.Sprintf("Disconnect %s; feed a panel of its own, or go through a transfer switch", r.ID), Edits: []components.Edit{components.RemoveRun{ID: r.ID}}})
			}
		}
	}
	return fixes
}
