package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// GFCINeutral asks that the neutral behind a ground-fault device serves what the
// device feeds and nothing else.
var GFCINeutral = &rules.Rule{
	ID:    "gfci.neutral-not-crossed",
	Title: "The neutral behind a ground-fault device is crossed",
	Must:  "Behind a ground-fault device the neutral serves its own circuit alone and touches neither ground nor another neutral.",
	Basis: []rules.Basis{
		{Source: "UL 943", Says: "a ground-fault device trips at 4 to 6 mA of difference between what goes out and what comes back", Seen: rules.Memory},
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.40(C)", Says: "ground-fault protection in the vehicle", Seen: rules.Memory},
	},
	Level: rules.Violation,
	Check: gfciNeutral,
}

func gfciNeutral(p *rules.Pass) {
	c := p.Circuit
	done := map[string]bool{}
	for i, d := range c.Unrated() {
		l := &c.Links[i]
		if !l.Join.APole.Hot() || done[d.Address()] {
			continue
		}
		done[d.Address()] = true
		if !d.GFCI {
			if gfciUnread(p, d) {
				p.Unchecked(d.Address(), fmt.Sprintf("gfci of %s is not known, so whether a neutral led past it trips it is not: look for a test button on it", d))
			}
			continue
		}
		crossed(p, d, *l)
	}
}

// gfciUnread tells whether it is marked unknown if a breaker has ground-fault
// protection.
func gfciUnread(p *rules.Pass, d circuit.Device) bool {
	part, _ := p.Doc.Part(d.Part)
	if d.Place == "" {
		return part.Told("gfci").IsUnknown()
	}
	for i, row := range part.Rows("circuits") {
		if fmt.Sprintf("c%d", i+1) == d.Place {
			return row["gfci"].IsUnknown()
		}
	}
	return false
}

// crossed holds one device to what lies behind it. Its line side is a's port, its
// load side b's, unless it is fed from b.
func crossed(p *rules.Pass, d circuit.Device, l circuit.Link) {
	c := p.Circuit
	line, load := l.Join.APort, l.Join.BPort
	if d.Place == "" && c.Live(l.B) && fedFrom(p, l.B, d) {
		line, load = load, line
	}
	out, okOut := c.At(d.Part, load, components.N)
	in, okIn := c.At(d.Part, line, components.N)
	if !okOut || !okIn || load != "bar" && len(p.Doc.RunsAt(components.PortRef{Part: d.Part, Port: load})) == 0 {
		return
	}
	own := func(o *circuit.Link) bool {
		switch {
		case o.Part != d.Part:
			return false
		case d.Place == "":
			return true
		case d.Place == "main":
			return touches(*o, line)
		}
		return touches(*o, load)
	}
	neutral := joined(c, out, func(o *circuit.Link) bool { return !own(o) })
	hots := map[circuit.Term]bool{}
	for _, pole := range []components.Pole{components.L, components.L1, components.L2} {
		if t, ok := c.At(d.Part, load, pole); ok {
			for h := range joined(c, t, func(o *circuit.Link) bool { return !own(o) }) {
				hots[h] = true
			}
		}
	}
	tell := func(also, message string, fixes ...rules.Fix) {
		f := rules.Finding{At: d.Address(), Message: message, Working: []string{"what goes out on the hot must come back on the device's own neutral within 4 mA"}, Fixes: fixes}
		if also != "" {
			f.Also = []string{also}
		}
		p.Report(f)
	}
	for _, o := range c.Links {
		if o.Bond && o.Closed && (neutral[o.A] || neutral[o.B]) && (c.Terms[o.A].Pole == components.N || c.Terms[o.B].Pole == components.N) {
			tell(o.Address(), fmt.Sprintf("Behind %s neutral and ground meet at %s: part of the current comes back over ground, and %s trips", d, o.Address(), d), unbond(p, o)...)
		}
	}
	if neutral[in] {
		tell("", fmt.Sprintf("The neutral behind %s is joined to the neutral ahead of it: the current divides, and %s trips", d, d))
		return
	}
	for _, q := range p.Doc.Parts() {
		port := usesPort(q)
		if port == "" || q.Gone() {
			continue
		}
		n, okN := c.At(q.ID, port, components.N)
		if !okN {
			continue
		}
		hot := false
		for _, pole := range []components.Pole{components.L, components.L1, components.L2} {
			t, ok := c.At(q.ID, port, pole)
			hot = hot || ok && hots[t]
		}
		switch {
		case hot && !neutral[n] && len(c.LinksAt(n)) > 0:
			tell(string(q.ID), fmt.Sprintf("%s is fed through %s, but its neutral comes back another way: %s sees its whole current as leakage and trips", q.ID, d, d), bringNeutral(p, q, port)...)
		case !hot && neutral[n] && anyHot(c, q, port):
			tell(string(q.ID), fmt.Sprintf("The neutral of %s lands behind %s, which does not feed it: %s sees its whole current as leakage and trips", q.ID, d, d))
		}
	}
}

// touches tells whether a join of a panel ends at one of its circuits' ports.
func touches(l circuit.Link, port string) bool { return l.Join.APort == port || l.Join.BPort == port }

// usesPort is where a load, an outlet or a charger takes its AC, "" for what takes none.
func usesPort(q components.Part) string {
	switch q.Kind {
	case &components.ACLoad, &components.Receptacle:
		return "in"
	case &components.Charger:
		return "ac-in"
	}
	return ""
}

func anyHot(c *circuit.Circuit, q components.Part, port string) bool {
	for _, pole := range []components.Pole{components.L, components.L1, components.L2} {
		if t, ok := c.At(q.ID, port, pole); ok && len(c.LinksAt(t)) > 0 {
			return true
		}
	}
	return false
}

// fedFrom tells whether a source reaches a terminal of a device without going
// through it.
func fedFrom(p *rules.Pass, t circuit.Term, d circuit.Device) bool {
	around := joined(p.Circuit, t, func(l *circuit.Link) bool { return l.Part != d.Part })
	for _, s := range p.Circuit.Sources {
		if around[s.Hot] {
			return true
		}
	}
	return false
}

// unbond takes out what joins neutral to ground behind a device.
func unbond(p *rules.Pass, l circuit.Link) []rules.Fix {
	if l.Run != "" {
		return []rules.Fix{{Title: "Remove " + string(l.Run), Edits: []components.Edit{components.RemoveRun{ID: l.Run}}}}
	}
	q, ok := p.Doc.Part(l.Part)
	switch {
	case ok && q.Kind == &components.Panel:
		return []rules.Fix{{Title: "Take the green screw out of " + string(q.ID), Edits: []components.Edit{set(q.ID, "neutral_bonded", components.Yes(false))}}}
	case ok && q.Kind == &components.BondKind:
		return []rules.Fix{{Title: "Remove the jumper " + string(q.ID), Edits: p.Doc.Delete(q.ID)}}
	}
	return nil
}

// bringNeutral takes the neutral of a load out of the run that brings it and into
// the run that brings its hot.
func bringNeutral(p *rules.Pass, q components.Part, port string) []rules.Fix {
	var edits []components.Edit
	title := ""
	for _, r := range p.Doc.RunsAt(q.Ref(port)) {
		cores := p.Doc.CoresOf(r)
		hot, neutral := false, -1
		for i, core := range cores {
			pole := core.From
			if r.To == q.Ref(port) {
				pole = core.To
			}
			hot = hot || pole.Hot()
			if pole == components.N {
				neutral = i
			}
		}
		edit := r.Rerouted()
		switch {
		case hot && neutral < 0:
			edit.Cores = append(append([]components.Core{}, cores...), components.Core{From: components.N, To: components.N})
			edits = append(edits, edit)
			title = fmt.Sprintf("Bring the neutral of %s along in %s", q.ID, r.ID)
		case !hot && neutral >= 0 && len(cores) == 1:
			edits = append([]components.Edit{components.RemoveRun{ID: r.ID}}, edits...)
		case !hot && neutral >= 0:
			edit.Cores = append(append([]components.Core{}, cores[:neutral]...), cores[neutral+1:]...)
			edits = append(edits, edit)
		}
	}
	if title == "" {
		return nil
	}
	if _, err := p.Doc.Apply(edits...); err != nil {
		return nil
	}
	return []rules.Fix{{Title: title, Edits: edits}}
}
