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

// shared are the strings that feed an inverter beside others.
func (b *bench) shared() []place {
	beside := map[components.ID]bool{}
	for _, inv := range b.parts(&components.Inverter, &components.InverterCharger) {
		if bank := b.bankOf(b.idle(), inv.ID, "dc"); len(bank) > 1 {
			for _, of := range bank {
				beside[of.Top().ID] = true
			}
		}
	}
	return slices.DeleteFunc(b.batteries("string"), func(p place) bool { return !beside[p.part.ID] })
}

// counted tells of the battery on top of a string whether a monitor counts it.
func (b *bench) counted(top components.ID) bool {
	for _, sh := range b.parts(&components.Shunt) {
		for _, of := range b.quiet().CountedBy(sh) {
			if of.Top().ID == top {
				return true
			}
		}
	}
	return false
}

// countedLoads are the DC loads whose current a monitor shows.
func (b *bench) countedLoads() []place {
	return slices.DeleteFunc(placesOf(b.parts(&components.DCLoad)), func(p place) bool {
		bank, _, _ := b.wayTo(b.loads(), p.part)
		return !slices.ContainsFunc(bank, func(of solved.String) bool { return b.counted(of.Top().ID) })
	})
}

// wayTo is the bank that a DC load draws on and how much of the bank's current one
// ampere of its own is: less through a step-down, which is named.
func (b *bench) wayTo(s *solved.State, load components.Part) (bank []solved.String, share float64, through components.Part) {
	if bank = b.bankOf(s, load.ID, "in"); len(bank) > 0 {
		return bank, 1, components.Part{}
	}
	tag, out := b.converted(s, load)
	if tag == "" {
		return nil, 0, components.Part{}
	}
	through, _ = b.doc.Part(components.ID(tag))
	in, ok := volts(s, through.ID, "in", components.Pos, "in", components.Neg)
	efficiency := through.Figure("efficiency")
	if !ok || in <= 0 || !efficiency.Known() {
		return nil, 0, through
	}
	return b.bankOf(s, through.ID, "in"), out / (in * efficiency.Value), through
}

// rival tells whether a charger of its own stands on the bank of an inverter/charger.
func (b *bench) rival() bool {
	own := map[components.ID]bool{}
	for _, inv := range b.parts(&components.InverterCharger) {
		for _, of := range b.bankOf(b.quiet(), inv.ID, "dc") {
			own[of.Top().ID] = true
		}
	}
	return slices.ContainsFunc(b.parts(&components.Charger), func(p components.Part) bool {
		return slices.ContainsFunc(b.bankOf(b.quiet(), p.ID, "dc"), func(of solved.String) bool { return own[of.Top().ID] })
	})
}

// banks are the house batteries that a monitor counts, those that stand in parallel as
// one.
func (b *bench) banks() []place {
	var all []place
	s, seen := b.quiet(), map[components.ID]bool{}
	for _, p := range b.batteries("string") {
		if seen[p.part.ID] || !b.counted(p.part.ID) {
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
