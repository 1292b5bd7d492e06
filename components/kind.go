package components

import "slices"

// Group is a shelf of kinds.
type Group string

// The groups of the shelf, in their order.
const (
	ACSupply       Group = "AC supply"
	ACDistribution Group = "AC distribution"
	Conversion     Group = "Conversion"
	Storage        Group = "Storage"
	DCDistribution Group = "DC distribution"
	ChargeSources  Group = "Charge sources"
	Loads          Group = "Loads"
	Bonding        Group = "Bonding"
)

// Groups is every group in the order of the shelf.
var Groups = []Group{ACSupply, ACDistribution, Conversion, Storage, DCDistribution, ChargeSources, Loads, Bonding}

// Role is what a kind is for, as rules ask for it.
type Role int

// The roles.
const (
	Carries     Role = iota // a place where conductors meet
	Supplies                // an AC or DC source
	Protects                // opens on overcurrent
	Switches                // opens by hand or by itself, without protecting
	Distributes             // a panel
	Converts                // between AC and DC, or DC and DC
	Stores                  // a battery
	Uses                    // a load
	Bonds                   // a deliberate join to ground
	Measures                // a shunt
)

// Side is the edge of a symbol at which a port leaves.
type Side int

// The four sides.
const (
	Left Side = iota
	Right
	Top
	Bottom
)

// Turned is the side after turning the symbol clockwise.
func (s Side) Turned(deg int) Side {
	round := []Side{Left, Top, Right, Bottom}
	i := slices.Index(round, s)
	return round[(i+((deg/90)%4+4)%4)%4]
}

// Landing is a place where a run may end at a port. One with a pole is kept for
// the run that brings that pole alone.
type Landing struct {
	At   Point
	Pole Pole
}

// Port is a place on a part where runs end.
type Port struct {
	Name     string
	Title    string
	Poles    []Pole
	At       Point // relative to the part's centre, on a whole module
	Side     Side
	Landings []Landing // further places; nil means At alone
}

// Has tells whether the port has the pole.
func (p Port) Has(pole Pole) bool { return slices.Contains(p.Poles, pole) }

// Contact says when a join inside a part is closed.
type Contact int

// The contacts. Closable ones are closed in ordinary service and open by hand
// or on overcurrent; the others follow from what is alive.
const (
	Fixed         Contact = iota // a bar, a screw, a strap: closed for good
	Closable                     // fuse, breaker, switch
	OnA                          // transfer switch at its a side
	OnB                          // transfer switch at its b side
	Passing                      // inverter/charger passes its AC input through
	Inverting                    // inverter makes AC from the battery
	PluggedIn                    // closed while the site's cord is plugged in and alive
	PulledIn                     // a relay of the DC side, by what pulls it in
	OnePlug                      // the cord of a site supply at an inlet where others end too: one of them is in
	CordIn                       // the cord of a carried set: in while that runs, and it may be left in beside a site supply
	CordIfAlone                  // the same where it shares the inlet with the site's cord: one plug or the other is in
	CordIfRunning                // the same in a rig with no site supply: coiled up while the set rests
)

// Opens tells whether a contact of the DC side opens in ordinary service: by hand, on
// overcurrent, or because its relay drops out.
func (c Contact) Opens() bool { return c == Closable || c == PulledIn }

// Plug tells whether a contact is made outside the rig, by plugging a cord in.
func (c Contact) Plug() bool {
	switch c {
	case PluggedIn, OnePlug, CordIn, CordIfAlone, CordIfRunning:
		return true
	}
	return false
}

// Join is a contact between two poles inside a part.
type Join struct {
	APort string
	APole Pole
	BPort string
	BPole Pole
	When  Contact
	Bond  bool // made on purpose between N or - and G
	Via   string
}

// Kind is everything that the shelf, the details, the reader, the symbol and the
// bill of materials need to know of a sort of part. Ports, joins and symbol
// follow from the spec, so they are functions of it.
type Kind struct {
	ID     string
	Title  string
	Help   string // one plain sentence for the person who hovers over it
	Prefix string // of the tag: BAT1
	Group  Group
	Role   Role
	Fields []Field
	Ports  func(s Spec) []Port
	Joins  func(s Spec) []Join
	Symbol func(s Spec) Symbol
	Rating func(s Spec) string // the line under the tag: "400 A class T"

	fields FieldSet // all of them
}

// Field finds a field by key.
func (k *Kind) Field(key string) (*Field, bool) {
	for i := range k.Fields {
		if k.Fields[i].Key == key {
			return &k.Fields[i], true
		}
	}
	return nil, false
}

// FindKind finds a kind by its ID.
func FindKind(id string) (*Kind, bool) {
	for _, k := range Catalog {
		if k.ID == id {
			return k, true
		}
	}
	return nil, false
}

// KindIDs is every kind's ID in the catalogue's order.
func KindIDs() []string {
	ids := make([]string, len(Catalog))
	for i, k := range Catalog {
		ids[i] = k.ID
	}
	return ids
}

// through joins the poles of one port straight to another's.
func through(a, b string, when Contact, poles ...Pole) []Join {
	joins := make([]Join, 0, len(poles))
	for _, p := range poles {
		joins = append(joins, Join{APort: a, APole: p, BPort: b, BPole: p, When: when})
	}
	return joins
}

func req(f Field) Field    { f.Required = true; return f }
func shapes(f Field) Field { f.Shapes = true; return f }

func number(key, title, unit string, lo, hi float64) Field {
	return Field{Key: key, Title: title, Unit: unit, Type: Number, Min: lo, Max: hi}
}

// count is a number without a fraction.
func count(key, title string, lo, hi float64) Field {
	f := number(key, title, "", lo, hi)
	f.Whole = true
	return f
}

func truth(key, title string) Field { return Field{Key: key, Title: title, Type: Truth} }

func choice(key, title string, words ...string) Field {
	return Field{Key: key, Title: title, Type: Choice, Choices: words}
}

// space is the compartment that a part stands in.
func space() Field {
	return help(text("space", "Space"), "The compartment it stands in, in words of your own: the same words for the same one.")
}

func text(key, title string) Field { return Field{Key: key, Title: title, Type: Text} }

// def gives a field its default and says where it comes from.
func def(f Field, v Value, from string) Field {
	f.Default, f.DefaultFrom = v, from
	return f
}

func help(f Field, s string) Field { f.Help = s; return f }

// Get reads a field of a spec of this kind: told, or its default.
func (k *Kind) Get(s Spec, key string) Value {
	f, ok := k.Field(key)
	if !ok {
		return Value{}
	}
	v, _ := f.Of(s)
	return v
}
