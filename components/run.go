package components

import "rigline/components/units"

// Run is a cable or a bundle of cores between two ports. Its figures stand in
// Spec under the keys of RunFields.
type Run struct {
	ID       ID
	From, To PortRef
	Cores    []Core // nil: every pole that both ports have
	Status   Status
	Path     []Point // bend points that a person placed, on the sheet
	Spec     Spec
	Note     string

	reads *Reads // nil where nobody watches
}

// RunFields are the figures of a run, in the order of the file.
var RunFields = []Field{
	help(Field{Key: "size", Title: "Size", Type: WireSize}, "Of each core, as 2/0 AWG or 16 mm²."),
	help(Field{Key: "ground_size", Title: "Ground core", Type: WireSize}, "Where the ground core is smaller than the rest."),
	help(choice("cable", "Construction", constructionIDs()...), "Decides the ampacity table."),
	help(number("length_ft", "Length, one way", "ft", 0, 1000), "From terminal to terminal, along the route."),
	def(help(choice("metal", "Metal", Copper, CopperClad, Aluminum), "Copper-clad aluminum is silvery where a strand is cut, and light."), Str(Copper), "common practice, no source"),
	def(count("sets", "Conductors in parallel", 1, 8), Num(1), "one conductor a core"),
	def(count("with", "Others in the bundle", 0, 60), Num(0), "runs alone"),
	number("ambient_c", "Air around it", "°C", -40, 90),
	def(truth("engine_space", "Through the engine space"), Yes(false), "outside the engine space"),
	help(number("terminal_c", "Terminations rated", "°C", 60, 105), "60 °C for AC and 75 °C for DC unless both ends are marked otherwise (NEC 110.14(C))."),
	def(number("sheath_ft", "In conduit or loom", "ft", 0, 1000), Num(0), "no conduit"),
	text("color", "Colour"),
	help(number("from_torque_nm", "Torque at its start", "N·m", 0.1, 200), "What the maker's label asks for at the terminal where the run begins."),
	help(number("to_torque_nm", "Torque at its end", "N·m", 0.1, 200), "What the maker's label asks for at the terminal where the run ends."),
}

// The metals of a conductor.
const (
	Copper     = "copper"
	CopperClad = "copper-clad"
	Aluminum   = "aluminum"
)

// Metal is what the run's cores are made of; one that is not known counts as
// copper, as one that is not told does.
func (r Run) Metal() string {
	if v, _ := r.Value("metal"); v.Known() {
		return v.Str()
	}
	return Copper
}

// RunField finds a field of runs.
func RunField(key string) (*Field, bool) {
	for i := range RunFields {
		if RunFields[i].Key == key {
			return &RunFields[i], true
		}
	}
	return nil, false
}

// Value reads a field of the run: told, or its default.
func (r Run) Value(key string) (Value, Origin) {
	f, ok := RunField(key)
	if !ok {
		return Value{}, Missing
	}
	r.reads.field(nil, f)
	return f.Of(r.Spec)
}

// Watched is the run with every figure that is read of it noted.
func (r Run) Watched(by *Reads) Run {
	r.reads = by
	return r
}

// CountRead counts fields as read of the run, as those of an answer that is given again.
func (r Run) CountRead(fields FieldSet) { r.reads.Add(fields) }

// Told is what was said of a field, its default left out: absent where nothing was.
func (r Run) Told(key string) Value {
	if f, ok := RunField(key); ok {
		r.reads.field(nil, f)
	}
	return r.Spec[key]
}

// Figure reads a number field of the run.
func (r Run) Figure(key string) Figure {
	f, ok := RunField(key)
	if !ok {
		return Figure{}
	}
	r.reads.field(nil, f)
	v, from := f.Of(r.Spec)
	return Figure{Value: v.Num(), From: from, Field: f}
}

// Size is the size of a core; ok is false where it is not told or not known.
func (r Run) Size(pole Pole) (size units.Size, ok bool) {
	text := r.Told("size")
	if pole == G {
		if g := r.Told("ground_size"); g.Known() {
			text = g
		}
	}
	if !text.Known() {
		return units.Size{}, false
	}
	size, err := units.ParseSize(text.Str())
	return size, err == nil
}

// Cable is the run's construction; ok is false where it is not told.
func (r Run) Cable() (Construction, bool) {
	v, _ := r.Value("cable")
	return FindConstruction(v.Str())
}

// Gone tells whether the run comes out in the retrofit.
func (r Run) Gone() bool { return r.Status == Remove }

// Ends tells whether the run ends at the port.
func (r Run) Ends(at PortRef) bool { return r.From == at || r.To == at }

// Other is the far end, seen from one.
func (r Run) Other(at PortRef) PortRef {
	if r.From == at {
		return r.To
	}
	return r.From
}

// Is tells whether a truth field of the run is known to be true.
func (r Run) Is(key string) bool {
	v, from := r.Value(key)
	return from != Missing && v.Truth()
}
