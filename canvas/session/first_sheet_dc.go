package session

import (
	"fmt"
	"math"
	"slices"

	"rigline/components"
)

// bank draws the bank with its fuse and switch, the shunt, both bars, and the one
// bond of the negative to the frame.
func (b *firstSheet) bank() {
	chassis := b.part(&components.Chassis, "Chassis")
	b.chassis = end(chassis, "stud")
	pack, back := b.strings()
	sw := b.part(&components.DCSwitch, "Main switch", known("rating_a", b.mainA))
	shunt := b.part(&components.Shunt, "Shunt")
	pos := b.part(&components.Busbar, "Positive bar", str("pole", "+"), num("studs", 7), known("rating_a", b.mainA))
	neg := b.part(&components.Busbar, "Negative bar", str("pole", "-"), num("studs", 7), known("rating_a", b.mainA))
	b.lead(b.mainA, "battery-105")
	b.pos, b.neg = end(pos, "bar"), end(neg, "bar")
	b.run(pack, end(sw, "line"))
	b.run(end(sw, "load"), b.pos)
	b.run(back, end(shunt, "battery"))
	b.run(end(shunt, "system"), b.neg)
	bond := b.part(&components.BondKind, "Negative to chassis", str("a_pole", "-"))
	b.run(b.neg, end(bond, "a"))
	b.run(end(bond, "b"), b.chassis)
}

// strings draws the bank: one battery behind its fuse, or, where it is large, strings
// of about 100 Ah that meet on bars of their own, each behind a fuse that can break
// what it gives. A bank of more than four such is drawn as two large strings: what
// the others drive into one that is shorted then stays within what its fuse breaks. They end at a positive and at a negative port.
func (b *firstSheet) strings() (pos, neg string) {
	const each, most = 100, 4
	n := max(1, int(math.Ceil(b.a.BankAh/each)))
	if n > most {
		n = 2
	}
	battery := func(name string) components.ID {
		return b.part(&components.Battery, name, b.chemistry(), num("nominal_v", b.a.BankV), known("capacity_ah", b.a.BankAh/float64(n)))
	}
	if n == 1 {
		bat := battery("House bank")
		fuse := b.fuse("Main fuse", "class-t", b.mainA)
		b.lead(b.mainA, "battery-105")
		b.post(end(bat, "pos"), end(fuse, "line"))
		return end(fuse, "load"), end(bat, "neg")
	}
	plus := b.part(&components.Busbar, "String bar", str("pole", "+"), num("studs", float64(n+1)), known("rating_a", b.mainA))
	minus := b.part(&components.Busbar, "Bank negative bar", str("pole", "-"), num("studs", float64(n+1)), known("rating_a", b.mainA))
	share := mainFuse(b.mainA / float64(n))
	b.lead(share, "battery-105")
	for i := range n {
		bat := battery(fmt.Sprintf("String %d", i+1))
		fuse := b.fuse(fmt.Sprintf("String %d", i+1), "class-t", share)
		b.post(end(bat, "pos"), end(fuse, "line"))
		b.run(end(fuse, "load"), end(plus, "bar"))
		b.run(end(bat, "neg"), end(minus, "bar"))
	}
	return end(plus, "bar"), end(minus, "bar")
}

// postFt is how long the lead from a post to its fuse is to be: within 7 in, which is
// as near as the rule asks for and the one length that is decided before the tape.
const postFt = 0.5

func (b *firstSheet) post(from, to string) {
	b.run(from, to)
	if r := b.doc.Runs(); b.err == nil {
		at, _ := components.ParsePortRef(from)
		for _, run := range r {
			if run.From == at {
				b.do(components.Set{On: run.ID, Key: "length_ft", Value: components.Num(postFt)})
			}
		}
	}
}

// charge takes a source's two leads to the bars, the positive through a fuse, sized
// by the source's current where that is known.
func (b *firstSheet) charge(from, name string, amps float64) {
	fuse := b.fuse(name, "class-t", mainFuse(amps))
	b.lead(mainFuse(amps), "battery-105")
	b.run(from, end(fuse, "line"), one(components.Pos))
	b.run(end(fuse, "load"), b.pos)
	b.run(from, b.neg, one(components.Neg))
}

// The usual fuses of a block's circuits and of its feed (common practice, no source).
const (
	dcCircuitA = 15
	dcFeedA    = 60
)

// dc draws the fuse block and its loads.
func (b *firstSheet) dc() {
	loads := slices.Clone(b.a.DCMain)
	for i := range b.a.DCCircuits {
		loads = append(loads, DCAppliance{Name: fmt.Sprintf("DC load %d", i+1)})
	}
	if len(loads) == 0 {
		return
	}
	var rows []components.Spec
	for _, l := range loads {
		rows = append(rows, components.Spec{"fuse_a": components.Num(dcCircuitA), "label": components.Str(l.Name)})
	}
	feed, ret := b.pos, b.neg
	if b.a.BankV > 16 {
		feed, ret = b.stepDown()
	}
	fuse := b.fuse("Fuse block feed", "class-t", dcFeedA)
	block := b.part(&components.DCPanel, "Fuse block", told{"circuits", components.Table(rows...)})
	b.lead(dcFeedA, "battery-105")
	b.run(feed, end(fuse, "line"), one(components.Pos))
	b.run(end(fuse, "load"), end(block, "feed"))
	b.run(ret, end(block, "feed"), one(components.Neg))
	b.lead(dcCircuitA, "duplex-105")
	for i, l := range loads {
		spec := []told{known("a", l.A)}
		for key, v := range l.Spec {
			spec = append(spec, told{key, v})
		}
		load := b.part(&components.DCLoad, l.Name, spec...)
		b.run(fmt.Sprintf("%s.c%d", block, i+1), end(load, "in"))
	}
}

// stepDown draws the converter from a 24 V or 48 V bank to 12 V.
func (b *firstSheet) stepDown() (pos, neg string) {
	fuse := b.part(&components.Fuse, "Step-down feed")
	sd := b.part(&components.DCConverter, "12 V step-down", num("in_v", b.a.BankV), num("out_v", 12.8), known("output_a", 0))
	b.lead(0, "battery-105")
	b.run(b.pos, end(fuse, "line"))
	b.run(end(fuse, "load"), end(sd, "in"))
	b.run(b.neg, end(sd, "in"))
	return end(sd, "out"), end(sd, "out")
}

// sources draws the array and the alternator with what charges from them.
func (b *firstSheet) sources() {
	if b.a.Solar {
		b.lead(0, "pv-90")
		array := b.part(&components.SolarArray, "Roof array")
		control := b.part(&components.SolarController, "Solar controller")
		off := b.part(&components.DCSwitch, "Roof isolator")
		b.run(end(array, "out"), end(off, "line"), one(components.Pos))
		b.run(end(off, "load"), end(control, "pv"), one(components.Pos))
		b.run(end(array, "out"), end(control, "pv"), one(components.Neg))
		b.charge(end(control, "battery"), "Solar fuse", 0)
	}
	if b.a.Alternator {
		alt := b.part(&components.Alternator, "Alternator")
		start := b.part(&components.Battery, "Starting battery", str("chemistry", "flooded"), num("nominal_v", 12), str("role", "starting"))
		fuse := b.part(&components.Fuse, "Engine side")
		charger := b.part(&components.DCCharger, "Alternator charger", num("in_v", 12), num("out_v", b.a.BankV))
		b.lead(0, "battery-105")
		b.run(end(alt, "out"), end(start, "pos"))
		b.run(end(alt, "out"), end(start, "neg"))
		b.run(end(start, "pos"), end(fuse, "line"))
		b.run(end(fuse, "load"), end(charger, "in"))
		b.run(end(start, "neg"), end(charger, "in"))
		b.charge(end(charger, "out"), "House side", 0)
	}
}
