package checks

import (
	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// joined is every terminal that closed links join to one, itself among them, over
// the links that pass lets through. Bonds are no part of it.
func joined(c *circuit.Circuit, from circuit.Term, pass func(*circuit.Link) bool) map[circuit.Term]bool {
	return c.Walk(func(l *circuit.Link, _ circuit.Term) bool { return l.Closed && pass(l) }, from).Reached()
}

// toDevices are the links of the runs that a hot conductor takes from a supply's
// terminal into the rig, each way up to its first overcurrent device, whatever
// stands closed in this state. open are the terminals at which a way ends with none.
func toDevices(p *rules.Pass, from circuit.Term) (runs []int, devices []circuit.Device, open []circuit.Term) {
	c := p.Circuit
	seen := map[circuit.Term]bool{from: true}
	queue := []circuit.Term{from}
	for len(queue) > 0 {
		t := queue[0]
		queue = queue[1:]
		on := false
		for _, i := range c.LinksAt(t) {
			l := c.Links[i]
			if l.Bond || l.Part != "" && l.Part == c.Terms[from].Part || back(c.Terms[l.Other(t)], l) {
				continue
			}
			if d, ok := c.Device(l); ok {
				devices, on = append(devices, d), true
				continue
			}
			o := l.Other(t)
			if seen[o] || !c.Terms[o].Pole.Hot() || blind(p, l, o) {
				continue
			}
			seen[o], on = true, true
			if l.Run != "" {
				runs = append(runs, int(i))
			}
			queue = append(queue, o)
		}
		if !on && t != from {
			open = append(open, t)
		}
	}
	return runs, devices, open
}

// blind tells whether a link inside a junction leads to where no cable is joined.
func blind(p *rules.Pass, l circuit.Link, o circuit.Term) bool {
	q, _ := p.Doc.Part(l.Part)
	return q.Kind == &components.Splice && len(p.Circuit.LinksAt(o)) == 1
}

// back tells whether a contact leads from what a switch or relay feeds to one of
// its inputs.
func back(to components.Terminal, l circuit.Link) bool {
	switch l.Join.When {
	case components.OnA, components.OnB:
		return to.Port != "out"
	case components.Passing:
		return to.Port == "ac-in"
	}
	return false
}
