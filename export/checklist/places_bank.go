package checklist

import (
	"slices"
	"strings"

	"rigline/components"
	"rigline/export/solved"
)

// batteries are the places of an item that is repeated for each battery: for each
// that has a positive of its own, for each string, or at each block of the house and
// then at the whole string where it is drawn block by block.
func (b *bench) batteries(each string) []place {
	var all []place
	c := b.quiet().Circuit
	for _, p := range placesOf(b.parts(&components.Battery)) {
		house := p.part.Word("role") != "starting"
		of := solved.StringOf(c, p.part)
		top := !c.Carries(p.part.ID)
		switch each {
		case "battery":
			if top {
				all = append(all, p)
			}
		case "string":
			if top && house {
				all = append(all, named(p, of))
			}
		case "house":
			if house {
				all = append(all, p)
			}
		}
	}
	if each != "house" {
		return all
	}
	for _, p := range slices.Clone(all) {
		if of := solved.StringOf(c, p.part); of.Several() && !c.Carries(p.part.ID) {
			p = named(p, of)
			p.id, p.whole = p.id+".string", true
			all = append(all, p)
		}
	}
	return all
}

// named gives a place the name of its string where that is drawn block by block.
func named(p place, of solved.String) place {
	if of.Several() {
		p.name = "string of " + of.Tags()
	}
	return p
}

// banks are the house batteries, those that stand in parallel as one: what a monitor
// counts.
func (b *bench) banks() []place {
	var all []place
	s, seen := b.quiet(), map[components.ID]bool{}
	for _, p := range b.batteries("string") {
		if seen[p.part.ID] {
			continue
		}
		p.bank = []solved.String{solved.StringOf(s.Circuit, p.part)}
		if bank := b.bankOf(s, p.part.ID, "pos"); len(bank) > 1 {
			p.bank = nil
			var tags []string
			for _, of := range bank {
				if of.Top().Word("role") != "starting" {
					p.bank, seen[of.Top().ID] = append(p.bank, of), true
					tags = append(tags, of.Tags())
				}
			}
			p.name = "bank of " + strings.Join(tags, ", ")
		}
		all = append(all, p)
	}
	return all
}

// inverted tells whether a place is alive on the inverters alone.
func (b *bench) inverted(at place) bool {
	c := b.idle().Circuit
	port := at.port()
	for _, pole := range []components.Pole{components.L1, components.L2, components.L} {
		if t, ok := c.At(at.part.ID, port, pole); ok && c.Live(t) {
			return true
		}
	}
	return false
}

// port is where the circuit of a place leaves its part, or comes to it.
func (p place) port() string {
	if _, port, ok := strings.Cut(p.id, "."); ok {
		return port
	}
	switch p.part.Kind {
	case &components.ACLoad, &components.Receptacle:
		return "in"
	}
	return "load"
}
