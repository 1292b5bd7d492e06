package session

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"rigline/components"
	"rigline/rules"
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

	InverterVA float64 // 0: not known yet
	BankAh     float64 // of the whole bank, 0: not known yet
	Main       []Appliance
	Exists     string   // what is there already: "", "ac", "dc" or "all"
	NotKnown   []string // the questions that nobody could answer yet
}

// Appliance is a main load by its name, with a usual power and breaker.
type Appliance struct {
	Name     string
	VA       float64
	BreakerA float64
	Spec     components.Spec // what else is told of it
}

// Appliances are the main loads that the questions offer. Their powers are usual
// ones (common practice, no source): the plate of the real one takes their place.
var Appliances = []Appliance{
	{"Air conditioner", 1500, 20, components.Spec{"motor": components.Yes(true), "thermostat": components.Yes(true)}},
	{"Microwave oven", 1500, 20, nil},
	{"Water heater", 1400, 15, components.Spec{"shore_only": components.Yes(true), "thermostat": components.Yes(true)}},
	{"Refrigerator", 200, 15, components.Spec{"thermostat": components.Yes(true)}},
	{"Induction plate", 1800, 20, nil},
}

// FirstSheet draws a complete rig to begin with: every part in its place and every
// conductor between them, with the sizes and ratings that follow from the answers
// and from the rules. Whatever follows from nothing is unknown: lengths, what only a
// plate tells, and all that hangs on an answer that nobody has yet.
func FirstSheet(a Answers, book []*rules.Rule) (*components.Document, error) {
	b := &firstSheet{a: a, doc: components.NewDocument("New rig"), needs: map[components.ID]need{}}
	if components.ServiceVolts(a.Supply) == 230 {
		b.doc.Basis, b.doc.Units = components.Caravan, "metric"
	}
	b.plan()
	b.bank()
	b.ac()
	b.dc()
	b.sources()
	b.sizes()
	b.statuses()
	if b.err != nil {
		return nil, fmt.Errorf("first sheet: %w", b.err)
	}
	doc := mend(b.doc, book)
	doc, err := doc.Apply(tidyEdits(doc)...)
	if err != nil || len(a.NotKnown) == 0 {
		return doc, err
	}
	return doc.Apply(components.SetNotes{Notes: []components.Note{notKnownNote(doc, a.NotKnown)}})
}

// notKnownNote says on the sheet what nobody could answer yet, above the drawing.
func notKnownNote(doc *components.Document, open []string) components.Note {
	at := components.Point{X: 140, Y: 60}
	for i, p := range doc.Parts() {
		if i == 0 || p.At.X-60 < at.X {
			at.X = max(0, p.At.X-60)
		}
	}
	return components.Note{Form: "note", At: at, Text: "Not known yet: " + strings.Join(open, ", ") + ". What is drawn for it is a place holder."}
}

// plan works out the ratings that the rest is sized by.
func (b *firstSheet) plan() {
	b.inverterA = mainFuse(inverterAmps(b.a.InverterVA, b.a.BankV))
	b.mainA = b.inverterA
	if b.a.Inverter == "" {
		b.mainA = 100 // usual for a house bank without an inverter (common practice, no source)
	}
	if b.a.Supply != "" {
		b.siteA = components.ServiceAmps(b.a.Supply)
	}
}

// lead says what the runs that follow carry.
func (b *firstSheet) lead(amps float64, cable string) { b.now = need{amps, cable} }

// fuse adds a fuse of a rating, where that is known.
func (b *firstSheet) fuse(name string, family string, amps float64) components.ID {
	if amps <= 0 {
		return b.part(&components.Fuse, name)
	}
	return b.part(&components.Fuse, name, str("family", family), num("rating_a", amps))
}

// statuses marks what is there already.
func (b *firstSheet) statuses() {
	if b.a.Exists == "" {
		return
	}
	there := func(p components.Part) bool {
		r := regionOf(p)
		switch b.a.Exists {
		case "ac":
			return r == acRegion && p.Kind.Group != components.Conversion
		case "dc":
			return r == dcRegion
		}
		return true
	}
	for _, p := range b.doc.Parts() {
		if there(p) {
			e := p.Described()
			e.Status = components.Existing
			b.do(e)
		}
	}
	for _, r := range b.doc.Runs() {
		from, _ := b.doc.Part(r.From.Part)
		to, _ := b.doc.Part(r.To.Part)
		if there(from) && there(to) {
			e := r.Rerouted()
			e.Status = components.Existing
			b.do(e)
		}
	}
}

type firstSheet struct {
	a        Answers
	doc      *components.Document
	err      error
	pos, neg string // the bars, as ports
	chassis  string
	inverter components.ID

	needs     map[components.ID]need
	now       need
	inverterA float64 // the inverter's fuse, 0 where its power is not known
	mainA     float64 // the bank's
	siteA     float64 // the site's breaker, 0 without a site
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
	id := b.doc.FreeID("W")
	b.needs[id] = b.now
	b.do(components.AddRun{Run: components.Run{ID: id, From: f, To: t, Cores: cores, Spec: spec}})
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

// known is a figure, or unknown where it is not told.
func known(key string, v float64) told {
	if v <= 0 {
		return told{key, components.Unknown}
	}
	return num(key, v)
}

// chemistry is what the bank is made of, where that is known.
func (b *firstSheet) chemistry() told {
	if b.a.Chemistry == "" {
		return told{"chemistry", components.Unknown}
	}
	return str("chemistry", b.a.Chemistry)
}

func end(id components.ID, port string) string { return string(id) + "." + port }

func one(p components.Pole) components.Core { return components.Core{From: p, To: p} }

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
// what it gives. They end at a positive and at a negative port.
func (b *firstSheet) strings() (pos, neg string) {
	const each, most = 100, 4
	n := min(most, max(1, int(math.Ceil(b.a.BankAh/each))))
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

// ac draws the supplies, the switch between them, the main panel, the inverter and
// the panel that it feeds.
func (b *firstSheet) ac() {
	feed, three := b.supply()
	kind, _ := components.FindKind(b.a.Inverter)
	if b.doc.Basis == components.Caravan && kind == &components.InverterCharger && feed != "" {
		b.wholeCaravan(feed)
		return
	}
	if kind != nil {
		b.unit(kind, three)
	}
	if feed != "" {
		b.mainPanel(feed, three, kind)
	}
	if b.inverter != "" {
		var rows []components.Spec
		for i := range max(1, b.a.Outlets) {
			rows = append(rows, breakerRow("L1", fmt.Sprintf("Outlets %d", i+1), outletA))
		}
		rows = b.poles(rows)
		panel := b.part(&components.Panel, "Inverter panel", append(b.main(0), num("legs", 1), told{"circuits", components.Table(rows...)})...)
		b.lead(max(20, min(b.siteA, 30)), "nm-b")
		b.run(end(b.inverter, "ac-out"), end(panel, "main"))
		b.lead(outletA, "nm-b")
		for i := range rows {
			r := b.part(&components.Receptacle, fmt.Sprintf("Outlets %d", i+1))
			b.run(fmt.Sprintf("%s.c%d", panel, i+1), end(r, "in"))
		}
	}
}

// wholeCaravan draws the AC side of a caravan behind one inverter/charger: the
// residual-current main stands behind the unit, so that the unit's own bond of
// neutral to ground lies ahead of it and does not trip it.
func (b *firstSheet) wholeCaravan(feed string) {
	in := b.part(&components.ACBreaker, "Inlet breaker", known("rating_a", b.siteA), told{"opens_neutral", components.Yes(true)})
	b.lead(b.siteA, "nm-b")
	b.run(feed, end(in, "line"))
	b.unit(&components.InverterCharger, false)
	b.lead(b.siteA, "nm-b")
	b.run(end(in, "load"), end(b.inverter, "ac-in"))
	var inside, outside []Appliance // what the bank feeds, and what outside power alone does
	for _, l := range b.a.Main {
		if v := l.Spec["shore_only"]; v.Known() && v.Truth() {
			outside = append(outside, l)
		} else {
			inside = append(inside, l)
		}
	}
	for i := range b.a.ACCircuits {
		inside = append(inside, Appliance{Name: fmt.Sprintf("AC load %d", i+1)})
	}
	b.consumerUnit("Consumer unit", end(b.inverter, "ac-out"), inside, b.a.Outlets)
	if len(outside) > 0 {
		b.consumerUnit("Unit for outside power", end(in, "load"), outside, 0)
	}
}

// consumerUnit draws a panel with a residual-current main, its loads and its
// circuits of receptacles.
func (b *firstSheet) consumerUnit(name, feed string, loads []Appliance, outlets int) {
	var rows []components.Spec
	for _, l := range loads {
		rows = append(rows, breakerRow("L1", l.Name, min(l.BreakerA, caravanCircuitA)))
	}
	for i := range outlets {
		rows = append(rows, breakerRow("L1", fmt.Sprintf("Outlets %d", i+1), caravanCircuitA))
	}
	rows = b.poles(rows)
	panel := b.part(&components.Panel, name, append(b.main(b.siteA), num("legs", 1), told{"circuits", components.Table(rows...)})...)
	b.lead(b.siteA, "nm-b")
	b.run(feed, end(panel, "main"))
	b.lead(b.siteA, "thhn")
	b.run(end(panel, "main"), b.chassis, one(components.G))
	for i, row := range rows {
		at := fmt.Sprintf("%s.c%d", panel, i+1)
		b.lead(row["breaker_a"].Num(), "nm-b")
		if i >= len(loads) {
			r := b.part(&components.Receptacle, row["label"].Str())
			b.run(at, end(r, "in"))
			continue
		}
		spec := []told{known("va", loads[i].VA)}
		for key, v := range loads[i].Spec {
			spec = append(spec, told{key, v})
		}
		load := b.part(&components.ACLoad, loads[i].Name, spec...)
		b.run(at, end(load, "in"))
	}
}

// caravanCircuitA is the breaker of a circuit of a caravan (common practice, no
// source).
const caravanCircuitA = 10

// unit draws the inverter with its fuse, its two leads and its case ground.
func (b *firstSheet) unit(kind *components.Kind, three bool) {
	spec := []told{num("dc_v", b.a.BankV), known("continuous_va", b.a.InverterVA)}
	if kind == &components.InverterCharger {
		spec = append(spec, known("relay_a", min(b.siteA, 30)))
		if three {
			spec = append(spec, str("passes", "L1"))
		}
	}
	if kind == &components.Inverter { // look at the device before taking its neutral for floating
		spec = append(spec, told{"bonded", components.Unknown})
	}
	b.inverter = b.part(kind, kind.Title, spec...)
	fuse := b.fuse("Inverter fuse", "class-t", b.inverterA)
	b.lead(b.inverterA, "battery-105")
	b.run(b.pos, end(fuse, "line"))
	b.run(end(fuse, "load"), end(b.inverter, "dc"))
	b.run(b.neg, end(b.inverter, "dc"))
	b.run(end(b.inverter, "case"), b.chassis)
}

// main tells the panel's main breaker where it is known. In a caravan a new one
// trips on 30 mA and opens the neutral too, as it has to (IEC 60364-7-721, from
// memory); one that is there already is looked at first.
func (b *firstSheet) main(amps float64) []told {
	open := []told{known("main_a", amps)}
	if b.doc.Basis == components.Caravan {
		if b.acIsThere() {
			return append(open, told{"main_trip_ma", components.Unknown}, told{"main_opens_neutral", components.Unknown})
		}
		open = append(open, num("main_trip_ma", 30), told{"main_opens_neutral", components.Yes(true)})
	}
	return open
}

// acIsThere tells whether the AC side is one that somebody else built.
func (b *firstSheet) acIsThere() bool { return b.a.Exists == "ac" || b.a.Exists == "all" }

// poles lets a caravan's breakers open the neutral too, or leaves that open where
// they are there already.
func (b *firstSheet) poles(rows []components.Spec) []components.Spec {
	if b.doc.Basis == components.Caravan {
		for i := range rows {
			rows[i] = rows[i].With("opens_neutral", components.Yes(true))
			if b.acIsThere() {
				rows[i] = rows[i].With("opens_neutral", components.Unknown)
			}
		}
	}
	return rows
}

// outletA is the breaker of a circuit of receptacles: the usual 15 A.
const outletA = 15

func breakerRow(leg, label string, amps float64) components.Spec {
	row := components.Spec{"leg": components.Str(leg), "breaker_a": components.Unknown, "label": components.Str(label)}
	if amps > 0 {
		row["breaker_a"] = components.Num(amps)
	}
	return row
}

// supply draws where AC comes from and gives the port that it leaves by.
func (b *firstSheet) supply() (feed string, three bool) {
	three = components.ThreeWire(b.a.Supply)
	if b.a.Supply != "" {
		shore := b.part(&components.Shore, "Site outlet", str("service", b.a.Supply))
		b.lead(b.siteA, "cord-shore")
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
	b.lead(b.siteA, "nm-b")
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
	chargeA := min(b.siteA, 30)
	if charger != "" {
		chargeA = min(chargeA, 15)
	}
	rows := []components.Spec{breakerRow("L1", first, chargeA)}
	loads := slices.Clone(b.a.Main)
	for i := range b.a.ACCircuits {
		loads = append(loads, Appliance{Name: fmt.Sprintf("AC load %d", i+1)})
	}
	for i, l := range loads {
		leg := "L1"
		if three && i%2 == 0 {
			leg = "L2"
		}
		rows = append(rows, breakerRow(leg, l.Name, l.BreakerA))
	}
	rows = b.poles(rows)
	panel := b.part(&components.Panel, "Main panel", append(b.main(b.siteA), num("legs", legs), told{"circuits", components.Table(rows...)})...)
	b.lead(b.siteA, "nm-b")
	b.run(feed, end(panel, "main"))
	b.lead(b.siteA, "thhn")
	b.run(end(panel, "main"), b.chassis, one(components.G))
	b.lead(chargeA, "nm-b")
	if charger == "" {
		b.run(end(panel, "c1"), end(b.inverter, "ac-in"))
	} else {
		b.run(end(panel, "c1"), end(charger, "ac-in"))
		b.lead(0, "battery-105")
		b.run(end(charger, "case"), b.chassis)
		b.charge(end(charger, "dc"), "Charger fuse")
	}
	for i, l := range loads {
		spec := []told{known("va", l.VA)}
		for key, v := range l.Spec {
			spec = append(spec, told{key, v})
		}
		load := b.part(&components.ACLoad, l.Name, spec...)
		b.lead(l.BreakerA, "nm-b")
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

// The usual fuses of a block's circuits and of its feed (common practice, no source).
const (
	dcCircuitA = 15
	dcFeedA    = 60
)

// dc draws the fuse block and its loads.
func (b *firstSheet) dc() {
	if b.a.DCCircuits == 0 {
		return
	}
	var rows []components.Spec
	for i := range b.a.DCCircuits {
		rows = append(rows, components.Spec{"fuse_a": components.Num(dcCircuitA), "label": components.Str(fmt.Sprintf("DC load %d", i+1))})
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
	for i := range rows {
		load := b.part(&components.DCLoad, fmt.Sprintf("DC load %d", i+1))
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
	b.lead(0, "")
	if b.a.Solar {
		array := b.part(&components.SolarArray, "Roof array")
		control := b.part(&components.SolarController, "Solar controller")
		off := b.part(&components.DCSwitch, "Roof isolator")
		b.run(end(array, "out"), end(off, "line"), one(components.Pos))
		b.run(end(off, "load"), end(control, "pv"), one(components.Pos))
		b.run(end(array, "out"), end(control, "pv"), one(components.Neg))
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
