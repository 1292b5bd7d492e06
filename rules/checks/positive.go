package checks

import (
	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// lead is a stretch of positive conductor from a battery post outward, up to the
// first overcurrent device, or to where there is none.
type lead struct {
	Post     circuit.Term
	Runs     []components.ID
	Feet     float64       // length of the runs with a known length
	Unknown  components.ID // a run on the way whose length is not told
	Device   *circuit.Device
	End      circuit.Term // the device's terminal, or the unprotected end
	Sheathed bool
}

// leads walks from a terminal outward through closed contacts and runs of the
// same pole, each way up to its first overcurrent device. A way that ends in
// nothing but other leads' junctions is not told: its branches are.
func leads(p *rules.Pass, from circuit.Term) []lead {
	c := p.Circuit
	var found []lead
	seen := map[circuit.Term]bool{from: true}
	var walk func(t circuit.Term, so lead)
	walk = func(t circuit.Term, so lead) {
		on := 0
		for _, i := range c.LinksAt(t) {
			l := c.Links[i]
			o := l.Other(t)
			if !l.Closed || l.Bond || c.Terms[o].Pole != c.Terms[from].Pole {
				continue
			}
			if d, ok := c.Device(l); ok {
				on++
				end := so
				end.Device, end.End = &d, t
				found = append(found, end)
				continue
			}
			if seen[o] || blind(p, l, o) {
				continue
			}
			seen[o] = true
			on++
			next := so
			if l.Run != "" {
				r, _ := p.Doc.Run(l.Run)
				next.Runs = append(so.Runs[:len(so.Runs):len(so.Runs)], l.Run)
				length := r.Figure("length_ft")
				if !length.Known() {
					next.Unknown = l.Run
				}
				next.Feet += length.Value
				next.Sheathed = (so.Sheathed || len(so.Runs) == 0) && length.Known() && r.Figure("sheath_ft").Value >= length.Value && length.Value > 0
			}
			walk(o, next)
		}
		if on == 0 && len(so.Runs) > 0 {
			so.End = t
			found = append(found, so)
		}
	}
	walk(from, lead{Post: from})
	return found
}
