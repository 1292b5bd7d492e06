package checklist

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"rigline/components"
	"rigline/export/bom"
	"rigline/export/solved"
	"rigline/rules/circuit"
)

// place is where an item is done.
type place struct {
	id, name string
	part     components.Part
	pole     components.Pole
	at       components.PortRef
	bank     []solved.String // of a house bank
	whole    bool            // of a battery, the string that it is the top of
}

// here is the one place of an item that is done once.
var here = []place{{}}

// needs tells whether a drawing has everything that an item asks for.
func (b *bench) needs(words string) bool {
	for _, w := range strings.Fields(words) {
		if !b.has(w) {
			return false
		}
	}
	return true
}

func (b *bench) has(word string) bool {
	kinds := func(all ...*components.Kind) bool { return len(b.parts(all...)) > 0 }
	switch word {
	case "ac":
		return kinds(&components.Shore, &components.Generator, &components.Inverter, &components.InverterCharger)
	case "runs", "terminals", "joints":
		return len(b.places("run")) > 0
	case "lugs":
		return len(b.places("lugged run")) > 0
	case "inverted-motor", "inverted-gfci":
		return len(b.places(strings.ReplaceAll(word, "-", " "))) > 0
	case "fuse", "run", "battery", "leg", "gfci", "rcd", "breaker", "outlet", "transfer", "motor", "string", "case", "input-limit", "dc-load", "counted-load", "controller", "alternator":
		return len(b.places(word)) > 0
	case "bank":
		return len(b.places("battery")) > 0
	case "batteries":
		n := 0.0
		for _, p := range b.parts(&components.Battery) {
			n += max(1, p.Figure("series").Value*p.Figure("parallel").Value)
		}
		return n > 1
	case "rival-charger":
		return b.rival()
	case "inverter":
		return kinds(&components.Inverter, &components.InverterCharger)
	case "inverter-charger":
		return kinds(&components.InverterCharger)
	case "charger":
		return kinds(&components.Charger)
	case "shore":
		return kinds(&components.Shore)
	case "inlet":
		return kinds(&components.Inlet)
	case "generator":
		return kinds(&components.Generator)
	case "generator-apart": // and none of them on the inlet, whose pins are then live or covered
		for _, p := range b.parts(&components.Inlet) {
			if slices.ContainsFunc(circuit.SuppliesAt(b.doc, p.Ref("site")), func(id components.ID) bool { q, _ := b.doc.Part(id); return q.Kind == &components.Generator }) {
				return false
			}
		}
		return kinds(&components.Generator)
	case "protector":
		return kinds(&components.SurgeProtector)
	case "solar":
		return kinds(&components.SolarArray)
	case "dc-charger":
		return kinds(&components.DCCharger)
	case "step-down":
		return kinds(&components.DCConverter)
	case "shunt":
		return kinds(&components.Shunt)
	case "panel":
		return kinds(&components.Panel)
	case "subpanel":
		return len(b.parts(&components.Panel)) > 1
	case "two-legs":
		return len(b.places("leg")) > 1
	case "two-out":
		return len(b.places("two-out")) > 0
	case "gen-two-legs":
		return len(b.places("generator leg")) > 1
	case "parallel":
		return len(b.places("string")) > 1
	case "settings":
		return kinds(&components.Inverter, &components.InverterCharger, &components.Charger, &components.SolarController, &components.DCCharger, &components.Shunt)
	}
	panic(fmt.Sprintf("the checklist needs %q, which nothing tells", word))
}

// condition is what a text says only where the drawing has a thing, or has none of it.
var condition = regexp.MustCompile(`\[(!?)([a-z-]+):([^\]]*)\]`)

// spoken is a text of the list without what this drawing has no place for.
func (b *bench) spoken(text string) string {
	return strings.Trim(condition.ReplaceAllStringFunc(text, func(s string) string {
		m := condition.FindStringSubmatch(s)
		if b.has(m[2]) == (m[1] == "!") {
			return ""
		}
		return m[3]
	}), " ,:")
}

// parts are the parts that stay, of some kinds.
func (b *bench) parts(kinds ...*components.Kind) []components.Part {
	var all []components.Part
	for _, p := range b.doc.Parts() {
		if !p.Gone() && slices.Contains(kinds, p.Kind) {
			all = append(all, p)
		}
	}
	return all
}

func placesOf(parts []components.Part) []place {
	var all []place
	for _, p := range parts {
		all = append(all, place{id: string(p.ID), name: p.Name, part: p})
	}
	return all
}

// places are where an item is repeated.
func (b *bench) places(each string) []place {
	for _, w := range strings.Fields(each) { // "inverter two-out": the narrower word counts
		if w == "two-out" {
			each = "two-out"
		}
	}
	switch each {
	case "":
		return here
	case "house bank":
		return b.banks()
	case "string":
		return b.shared()
	case "counted-load":
		return b.countedLoads()
	case "battery", "house":
		return b.batteries(each)
	case "inverter":
		return placesOf(b.parts(&components.Inverter, &components.InverterCharger))
	case "two-out":
		return slices.DeleteFunc(b.places("inverter"), func(p place) bool { return p.part.Word("inverts") == "L1" || p.part.Word("inverts") == "" })
	case "inverter-charger":
		return placesOf(b.parts(&components.InverterCharger))
	case "charging":
		return slices.DeleteFunc(b.places("inverter-charger"), func(p place) bool {
			a := p.part.Figure("charge_a")
			return a.Known() && a.Value == 0
		})
	case "step-down":
		return placesOf(b.parts(&components.DCConverter))
	case "dc-load":
		return placesOf(b.parts(&components.DCLoad))
	case "outlet":
		return placesOf(b.parts(&components.Receptacle))
	case "transfer":
		return placesOf(b.parts(&components.TransferSwitch))
	case "array":
		return b.arrays()
	case "controller":
		return placesOf(b.parts(&components.SolarController))
	case "alternator":
		return placesOf(b.parts(&components.Alternator))
	case "panel":
		return placesOf(b.parts(&components.Panel))
	case "fuse":
		return placesOf(b.parts(&components.Fuse))
	case "case":
		return placesOf(b.parts(&components.Inverter, &components.InverterCharger, &components.Charger, &components.Panel, &components.TransferSwitch, &components.Generator))
	case "inverted motor":
		return slices.DeleteFunc(b.places("motor"), func(p place) bool { return !b.inverted(p) })
	case "inverted gfci":
		return slices.DeleteFunc(b.places("gfci"), func(p place) bool { return !b.inverted(p) })
	case "motor":
		return slices.DeleteFunc(placesOf(b.parts(&components.ACLoad)), func(p place) bool { return !p.part.Figure("start_va").Known() })
	case "run", "lugged run":
		return b.runs(each == "lugged run")
	case "terminal":
		return b.terminals()
	case "rcd":
		return b.residual()
	case "gfci", "breaker":
		return b.breakers(each == "gfci")
	case "leg":
		return legsOf(b.parts(&components.Shore), "out")
	case "generator leg":
		return legsOf(b.parts(&components.Generator), "out")
	case "output leg":
		return legsOf(b.parts(&components.Inverter, &components.InverterCharger), "ac-out")
	case "input-limit":
		return b.limits()
	}
	panic(fmt.Sprintf("the checklist repeats for each %q, which nothing lists", each))
}

// legsOf are the hots of a port of some parts.
func legsOf(parts []components.Part, port string) []place {
	var all []place
	for _, p := range parts {
		q, ok := p.Port(port)
		if !ok {
			continue
		}
		for _, pole := range q.Poles {
			if pole.Hot() {
				all = append(all, place{id: fmt.Sprintf("%s.%s", p.ID, pole), name: p.Name, part: p, pole: pole, at: p.Ref(port)})
			}
		}
	}
	return all
}

func (b *bench) runs(lugged bool) []place {
	var all []place
	for _, r := range b.doc.Runs() {
		if r.Gone() {
			continue
		}
		if lugged {
			from, to := bom.EndsOf(b.doc, r)
			if !slices.ContainsFunc(append(from, to...), func(e bom.End) bool { return e.On != "" }) {
				continue
			}
		}
		all = append(all, place{id: string(r.ID), name: fmt.Sprintf("%s to %s", r.From, r.To)})
	}
	return all
}

// terminals are the ports at which runs end.
func (b *bench) terminals() []place {
	var all []place
	for _, p := range b.doc.Parts() {
		if p.Gone() || p.Kind == &components.Shore { // the site's own terminals are the site's
			continue
		}
		for _, port := range p.PortNames() {
			at := p.Ref(port)
			if slices.ContainsFunc(b.doc.RunsAt(at), func(r components.Run) bool { return !r.Gone() && !bom.IsLead(b.doc, r) }) {
				all = append(all, place{id: at.String(), name: p.Name, part: p, at: at})
			}
		}
	}
	return all
}

// breakers are the AC breakers, in panels and alone, or all that protects against
// ground faults, outlets too.
func (b *bench) breakers(gfci bool) []place {
	var all []place
	for _, p := range b.doc.Parts() {
		if p.Gone() {
			continue
		}
		switch p.Kind {
		case &components.Panel:
			if gfci && p.Figure("main_trip_ma").Known() {
				all = append(all, place{id: string(p.ID) + ".main", name: p.Name, part: p})
			}
			for i, c := range p.Spec["circuits"].Rows() {
				if !gfci || c["gfci"].Truth() || c["trip_ma"].Known() {
					all = append(all, place{id: fmt.Sprintf("%s.c%d", p.ID, i+1), name: c["label"].Str(), part: p})
				}
			}
		case &components.ACBreaker:
			if !gfci || p.Is("gfci") || p.Figure("trip_ma").Known() {
				all = append(all, place{id: string(p.ID), name: p.Name, part: p})
			}
		case &components.Receptacle:
			if gfci && p.Is("gfci") {
				all = append(all, place{id: string(p.ID), name: p.Name, part: p})
			}
		}
	}
	return all
}

// residual are the devices that are told to trip on a residual current.
func (b *bench) residual() []place {
	var all []place
	for _, at := range b.breakers(true) {
		tells := at.part.Figure("trip_ma").Known()
		if at.part.Kind == &components.Panel {
			tells = at.part.Figure("main_trip_ma").Known() && strings.HasSuffix(at.id, ".main")
			for i, c := range at.part.Spec["circuits"].Rows() {
				tells = tells || c["trip_ma"].Known() && at.id == fmt.Sprintf("%s.c%d", at.part.ID, i+1)
			}
		}
		if tells {
			all = append(all, at)
		}
	}
	return all
}

// limits are the input limits by device and supply, as the cards have them.
func (b *bench) limits() []place {
	var all []place
	for _, c := range b.sites() {
		for _, s := range c.Set {
			p, _ := b.doc.Part(s.Device)
			if a := p.Figure("charge_a"); a.Known() && a.Value == 0 {
				continue // it has no charging to back off
			}
			word := string(c.Kind)
			if c.Breaker > 0 {
				word = fmt.Sprintf("%vA", c.Breaker)
			}
			all = append(all, place{id: fmt.Sprintf("%s.%s", s.Device, word), name: c.Title, part: p})
		}
	}
	return all
}
