package session

import (
	"fmt"
	"strings"

	"rigline/components"
	"rigline/rules"
)

// Answers are what a person tells of a rig before anything is drawn.
type Answers struct {
	Supply     string // a service of the site, "" for none
	Protector  bool   // that watches the supply behind the inlet
	Generator  bool
	Inverter   string  // the ID of the kind of inverter, "" for none
	Whole      string  // an inverter/charger ahead of everything: InPhase, Split; "" for a panel of its own
	Chemistry  string  // of the bank
	BankV      float64 // nominal
	Solar      bool
	Alternator bool // the vehicle charges the bank while driving
	ACCircuits int  // on site or generator power, beside the main loads
	Outlets    int  // circuits of receptacles, on the inverter where there is one
	DCCircuits int  // beside the main loads on battery voltage

	NoCharger bool    // nothing but an inverter/charger would charge from AC
	ChargerA  float64 // of a charger of its own, 0: not known yet

	InverterVA float64 // 0: not known yet
	BankAh     float64 // of the whole bank, 0: not known yet
	Main       []Appliance
	DCMain     []DCAppliance
	Exists     string   // what is there already: "", "ac", "dc" or "all"
	NotKnown   []string // the questions that nobody could answer yet
}

// What an inverter/charger ahead of everything makes off grid for two legs. On one
// leg both come to the same.
const (
	InPhase = "both-in-phase"
	Split   = "both-split"
)

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

// DCAppliance is a main load on battery voltage by its name, with a usual current.
type DCAppliance struct {
	Name string
	A    float64
	Spec components.Spec // what else is told of it
}

// DCAppliances are the main loads on battery voltage that the questions offer. Their
// currents are usual ones (common practice, no source): the label of the real one
// takes their place.
var DCAppliances = []DCAppliance{
	{"Lights", 3, nil},
	{"Water pump", 7, nil},
	{"Roof fan", 2.5, nil},
	{"Heater fan", 8.5, nil},
	{"USB outlets", 5, nil},
	{"Gas alarm", 0.1, components.Spec{"always_on": components.Yes(true)}},
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
	b.asFound()
	if b.err != nil {
		return nil, fmt.Errorf("first sheet: %w", b.err)
	}
	doc := b.sizeGrounds(mend(b.doc, book), book)
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
