package session

import (
	"fmt"

	"rigline/components"
)

// Answers are what a person tells of a rig before anything is drawn.
type Answers struct {
	Supply     string // a service of the site, "" for none
	Generator  bool
	Inverter   string  // the ID of the kind of inverter, "" for none
	Chemistry  string  // of the bank
	BankV      float64 // nominal
	Solar      bool
	Alternator bool // the vehicle charges the bank while driving
	ACCircuits int  // on site or generator power
	Outlets    int  // circuits of receptacles on the inverter
	DCCircuits int
}

// FirstSheet draws a complete rig to begin with: every part in its place and every
// conductor between them. Whatever nobody has told yet is unknown: sizes, lengths
// and most ratings.
func FirstSheet(a Answers) (*components.Document, error) {
	b := &firstSheet{a: a, doc: components.NewDocument("New rig")}
	if components.ServiceVolts(a.Supply) == 230 {
		b.doc.Basis, b.doc.Units = components.Caravan, "metric"
	}
	b.bank()
	b.ac()
	b.dc()
	b.sources()
	if b.err != nil {
		return nil, fmt.Errorf("first sheet: %w", b.err)
	}
	return b.doc.Apply(tidyEdits(b.doc)...)
}

type firstSheet struct {
	a        Answers
	doc      *components.Document
	err      error
	pos, neg string // the bars, as ports
	chassis  string
	inverter components.ID
}

// told is a value of a field, by its key.
type told struct {
	key string
	v   components.Value
}

func num(key string, v float64) told { return told{key, components.Num(v)} }
func str(key, v string) told         { return told{key, components.Str(v)} }

// part adds a part of a kind; what is not told of it is unknown.
func (b *firstSheet) part(kind *components.Kind, name string, spec ...told) components.ID {
	p := NewPart(b.doc, kind)
	p.Name = name
	for _, t := range spec {
		p.Spec = p.Spec.With(t.key, t.v)
	}
	b.do(components.AddPart{Part: p})
	return p.ID
}

// run adds a run between ports told as "BAT1.pos".
func (b *firstSheet) run(from, to string, cores ...components.Core) {
	f, errF := components.ParsePortRef(from)
	t, errT := components.ParsePortRef(to)
	if errF != nil || errT != nil {
		b.err = fmt.Errorf("%s to %s", from, to)
		return
	}
	spec := components.Spec{"size": components.Unknown, "length_ft": components.Unknown}
	b.do(components.AddRun{Run: components.Run{ID: b.doc.FreeID("W"), From: f, To: t, Cores: cores, Spec: spec}})
}

func (b *firstSheet) do(e components.Edit) {
	if b.err != nil {
		return
	}
	next, err := b.doc.Apply(e)
	if err != nil {
		b.err = err
		return
	}
	b.doc = next
}

func end(id components.ID, port string) string { return string(id) + "." + port }

func one(p components.Pole) components.Core { return components.Core{From: p, To: p} }

// bank draws the bank with its fuse and switch, the shunt, both bars, and the one
// bond of the negative to the frame.
func (b *firstSheet) bank() {
	chassis := b.part(&components.Chassis, "Chassis")
	b.chassis = end(chassis, "stud")
	bat := b.part(&components.Battery, "House bank", str("chemistry", b.a.Chemistry), num("nominal_v", b.a.BankV))
	fuse := b.part(&components.Fuse, "Main fuse")
	sw := b.part(&components.DCSwitch, "Main switch")
	shunt := b.part(&components.Shunt, "Shunt")
	pos := b.part(&components.Busbar, "Positive bar", str("pole", "+"), num("studs", 7))
	neg := b.part(&components.Busbar, "Negative bar", str("pole", "-"), num("studs", 7))
	b.pos, b.neg = end(pos, "bar"), end(neg, "bar")
	b.run(end(bat, "pos"), end(fuse, "line"))
	b.run(end(fuse, "load"), end(sw, "line"))
	b.run(end(sw, "load"), b.pos)
	b.run(end(bat, "neg"), end(shunt, "battery"))
	b.run(end(shunt, "system"), b.neg)
	bond := b.part(&components.BondKind, "Negative to chassis", str("a_pole", "-"))
	b.run(b.neg, end(bond, "a"))
	b.run(end(bond, "b"), b.chassis)
}

// ac draws the supplies, the switch between them, the main panel, the inverter and
// the panel that it feeds.
func (b *firstSheet) ac() {
	feed, three := b.supply()
	kind, _ := components.FindKind(b.a.Inverter)
	if kind != nil {
		spec := []told{num("dc_v", b.a.BankV)}
		if kind == &components.Inverter { // look at the device before taking its neutral for floating
			spec = append(spec, told{"bonded", components.Unknown})
		}
		b.inverter = b.part(kind, kind.Title, spec...)
		fuse := b.part(&components.Fuse, "Inverter fuse")
		b.run(b.pos, end(fuse, "line"))
		b.run(end(fuse, "load"), end(b.inverter, "dc"))
		b.run(b.neg, end(b.inverter, "dc"))
		b.run(end(b.inverter, "case"), b.chassis)
	}
	if feed != "" {
		b.mainPanel(feed, three, kind)
	}
	if b.inverter != "" {
		var rows []components.Spec
		for i := range max(1, b.a.Outlets) {
			rows = append(rows, breakerRow("L1", fmt.Sprintf("Outlets %d", i+1)))
		}
		rows = b.poles(rows)
		panel := b.part(&components.Panel, "Inverter panel", append(b.main(), num("legs", 1), told{"circuits", components.Table(rows...)})...)
		b.run(end(b.inverter, "ac-out"), end(panel, "main"))
		for i := range rows {
			r := b.part(&components.Receptacle, fmt.Sprintf("Outlets %d", i+1))
			b.run(fmt.Sprintf("%s.c%d", panel, i+1), end(r, "in"))
		}
	}
}

// main leaves open what the panel's main breaker is, and in a caravan whether it
// trips on a residual current and opens the neutral: look at the device.
func (b *firstSheet) main() []told {
	open := []told{{"main_a", components.Unknown}}
	if b.doc.Basis == components.Caravan {
		open = append(open, told{"main_trip_ma", components.Unknown}, told{"main_opens_neutral", components.Unknown})
	}
	return open
}

// poles leaves open in a caravan whether its breakers open the neutral.
func (b *firstSheet) poles(rows []components.Spec) []components.Spec {
	if b.doc.Basis == components.Caravan {
		for i := range rows {
			rows[i] = rows[i].With("opens_neutral", components.Unknown)
		}
	}
	return rows
}

func breakerRow(leg, label string) components.Spec {
	return components.Spec{"leg": components.Str(leg), "breaker_a": components.Unknown, "label": components.Str(label)}
}

// supply draws where AC comes from and gives the port that it leaves by.
func (b *firstSheet) supply() (feed string, three bool) {
	three = components.ThreeWire(b.a.Supply)
	if b.a.Supply != "" {
		shore := b.part(&components.Shore, "Site outlet", str("service", b.a.Supply))
		inlet := b.part(&components.Inlet, "Shore inlet", num("rating_a", components.ServiceAmps(b.a.Supply)))
		b.run(end(shore, "out"), end(inlet, "site"))
		feed = end(inlet, "rig")
	}
	if !b.a.Generator {
		return feed, three
	}
	legs := "one"
	if three {
		legs = "opposite"
	}
	gen := b.part(&components.Generator, "Generator", str("legs", legs), told{"bonded", components.Unknown})
	if feed == "" {
		return end(gen, "out"), false
	}
	switched := []string{"L", "N"}
	if three {
		switched = []string{"L1", "L2", "N"}
	}
	ts := b.part(&components.TransferSwitch, "Transfer switch", told{"switches", components.Words(switched...)})
	b.run(feed, end(ts, "a"))
	b.run(end(gen, "out"), end(ts, "b"))
	return end(ts, "out"), three
}

// mainPanel draws the panel on site or generator power: what charges the bank
// first, then the circuits.
func (b *firstSheet) mainPanel(feed string, three bool, inverter *components.Kind) {
	legs := 1.0
	if three {
		legs = 2
	}
	charger := components.ID("")
	first := "Inverter/charger"
	if inverter != &components.InverterCharger {
		first = "Charger"
		charger = b.part(&components.Charger, "Charger", num("dc_v", b.a.BankV))
	}
	rows := []components.Spec{breakerRow("L1", first)}
	for i := range b.a.ACCircuits {
		leg := "L1"
		if three && i%2 == 0 {
			leg = "L2"
		}
		rows = append(rows, breakerRow(leg, fmt.Sprintf("AC load %d", i+1)))
	}
	rows = b.poles(rows)
	panel := b.part(&components.Panel, "Main panel", append(b.main(), num("legs", legs), told{"circuits", components.Table(rows...)})...)
	b.run(feed, end(panel, "main"))
	b.run(end(panel, "main"), b.chassis, one(components.G))
	if charger == "" {
		b.run(end(panel, "c1"), end(b.inverter, "ac-in"))
	} else {
		b.run(end(panel, "c1"), end(charger, "ac-in"))
		b.run(end(charger, "case"), b.chassis)
		b.charge(end(charger, "dc"), "Charger fuse")
	}
	for i := range b.a.ACCircuits {
		load := b.part(&components.ACLoad, fmt.Sprintf("AC load %d", i+1))
		b.run(fmt.Sprintf("%s.c%d", panel, i+2), end(load, "in"))
	}
}

// charge takes a source's two leads to the bars, the positive through a fuse.
func (b *firstSheet) charge(from, name string) {
	fuse := b.part(&components.Fuse, name)
	b.run(from, end(fuse, "line"), one(components.Pos))
	b.run(end(fuse, "load"), b.pos)
	b.run(from, b.neg, one(components.Neg))
}

// dc draws the fuse block and its loads.
func (b *firstSheet) dc() {
	if b.a.DCCircuits == 0 {
		return
	}
	var rows []components.Spec
	for i := range b.a.DCCircuits {
		rows = append(rows, components.Spec{"fuse_a": components.Unknown, "label": components.Str(fmt.Sprintf("DC load %d", i+1))})
	}
	fuse := b.part(&components.Fuse, "Fuse block feed")
	block := b.part(&components.DCPanel, "Fuse block", told{"circuits", components.Table(rows...)})
	b.run(b.pos, end(fuse, "line"))
	b.run(end(fuse, "load"), end(block, "feed"))
	b.run(b.neg, end(block, "feed"))
	for i := range rows {
		load := b.part(&components.DCLoad, fmt.Sprintf("DC load %d", i+1))
		b.run(fmt.Sprintf("%s.c%d", block, i+1), end(load, "in"))
	}
}

// sources draws the array and the alternator with what charges from them.
func (b *firstSheet) sources() {
	if b.a.Solar {
		array := b.part(&components.SolarArray, "Roof array")
		control := b.part(&components.SolarController, "Solar controller")
		b.run(end(array, "out"), end(control, "pv"))
		b.charge(end(control, "battery"), "Solar fuse")
	}
	if b.a.Alternator {
		alt := b.part(&components.Alternator, "Alternator")
		start := b.part(&components.Battery, "Starting battery", str("chemistry", "flooded"), num("nominal_v", 12), str("role", "starting"))
		fuse := b.part(&components.Fuse, "Engine side")
		charger := b.part(&components.DCCharger, "Alternator charger", num("in_v", 12), num("out_v", b.a.BankV))
		b.run(end(alt, "out"), end(start, "pos"))
		b.run(end(alt, "out"), end(start, "neg"))
		b.run(end(start, "pos"), end(fuse, "line"))
		b.run(end(fuse, "load"), end(charger, "in"))
		b.run(end(start, "neg"), end(charger, "in"))
		b.charge(end(charger, "out"), "House side")
	}
}
