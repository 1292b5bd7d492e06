package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// NotStranded asks that no switch and no trip leaves an alternator or a solar
// controller on the loads without a battery.
var NotStranded = &rules.Rule{
	ID:    "disconnect.charge-source-not-stranded",
	Title: "A charge source can be left on the loads without a battery",
	Must:  "No switch, fuse or battery protection, opened alone, leaves an alternator or solar controller feeding loads with no battery, unless it is made to stand that.",
	Basis: []rules.Basis{
		{Source: "ABYC E-13", Says: "a bank that shuts itself down warns first, and what charges it must bear that (a marine rule, not law in a vehicle)", Seen: rules.Published},
		{Source: "an alternator that loses its battery throws a spike of several times its voltage", Seen: rules.Practice},
	},
	Level: rules.Violation, Stateless: true,
	Check: notStranded,
}

func notStranded(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		port := ""
		switch {
		case q.Gone():
		case q.Kind == &components.SolarController && !q.Is("without_battery"):
			port = "battery"
		case q.Kind == &components.Alternator && !q.Is("load_dump_protected"):
			port = "out"
		}
		if t, ok := p.Circuit.At(q.ID, port, components.Pos); ok && port != "" {
			if opens, because, stranded := strandedBy(p, t); stranded {
				strandedSource(p, q, opens, because)
			}
		}
	}
}

// strandedBy finds one opening that leaves a source on loads without a battery:
// the battery's own protection first, then switches and devices in tag order.
func strandedBy(p *rules.Pass, t circuit.Term) (opens components.ID, because string, stranded bool) {
	c := p.Circuit
	alone := func(nets func(circuit.Term) circuit.Term, lithiumTrips bool) bool {
		loads := false
		for _, s := range c.Sources {
			if !s.Stores || nets(s.Hot) != nets(t) {
				continue
			}
			if q, _ := p.Doc.Part(s.Part); !lithiumTrips || q.Word("chemistry") != "lfp" {
				return false
			}
		}
		for o, term := range c.Terms {
			q, _ := p.Doc.Part(term.Part)
			if term.Pole == components.Pos && nets(circuit.Term(o)) == nets(t) && draws(q, term.Port) {
				loads = true
				break
			}
		}
		return loads
	}
	if alone(c.Net, true) {
		for _, s := range c.Feeds(t) {
			if s.Stores {
				return s.Part, fmt.Sprintf("the protection of %s opens, as it does at full charge or in the cold", s.Part), true
			}
		}
		return "", "no battery is on its circuit at all", true
	}
	for i := range c.Links {
		out := &c.Links[i]
		q, _ := p.Doc.Part(out.Part)
		if out.Join.When != components.Closable || out.Run != "" || out.Join.APole != components.Pos || q.Kind == &components.DCPanel || c.Net(out.A) != c.Net(t) {
			continue
		}
		nets := c.Nets(func(l *circuit.Link) bool { return l.Closed && !l.Bond && l != out })
		if alone(func(o circuit.Term) circuit.Term { return nets[o] }, false) {
			return q.ID, fmt.Sprintf("%s is opened", q.ID), true
		}
	}
	return "", "", false
}

// draws tells whether a part takes power at a port.
func draws(q components.Part, port string) bool {
	switch q.Kind {
	case &components.Inverter, &components.InverterCharger, &components.DCLoad, &components.DCPanel:
		return true
	case &components.DCConverter:
		return port == "in"
	}
	return false
}

func strandedSource(p *rules.Pass, q components.Part, opens components.ID, because string) {
	key, what := "load_dump_protected", "whether it has a clamp, or a regulator made for losing its battery, is not known: look at the alternator and in its manual"
	fix := fmt.Sprintf("Fit a load-dump clamp at %s", q.ID)
	message := fmt.Sprintf("%s is left on the loads alone when %s: its voltage leaps", q.ID, because)
	if q.Kind == &components.SolarController {
		key, what = "without_battery", "its manual tells whether it stands that"
		fix = fmt.Sprintf("Fit a controller that stands losing the battery as %s", q.ID)
		message = fmt.Sprintf("%s is left on the loads alone when %s, and it does not stand that", q.ID, because)
	}
	told := q.Told(key).Told()
	if q.Told(key).IsUnknown() || !told && q.Kind == &components.SolarController {
		p.Unchecked(string(q.ID), fmt.Sprintf("%s of %s is not told: it is left on the loads alone when %s, and %s", key, q.ID, because, what))
		return
	}
	f := rules.Finding{At: string(q.ID), Message: message, Fixes: []rules.Fix{{Title: fix, Edits: []components.Edit{set(q.ID, key, components.Yes(true))}}}}
	if opens != "" {
		f.Also = []string{string(opens)}
	}
	p.Report(f)
}
