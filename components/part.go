package components

import (
	"cmp"
	"slices"
	"strings"
)

// Status is what a retrofit does with a part or a run.
type Status string

// The three statuses; a thing of no told status is new.
const (
	New      Status = "new"
	Existing Status = "existing"
	Remove   Status = "remove"
)

// Statuses is every status.
var Statuses = []string{string(New), string(Existing), string(Remove)}

// Purchase is what the buyer notes of a part.
type Purchase struct {
	Description, Supplier, PartNo string
	Price                         float64 // in the project's money; 0 is not given
}

// Part is a thing on the drawing. Copy it to change it; its Spec is shared.
type Part struct {
	ID     ID
	Kind   *Kind
	Name   string
	At     Point
	Turn   int  // 0, 90, 180 or 270 degrees clockwise
	Pinned bool // tidying the sheet leaves it where it is
	Status Status
	Spec   Spec
	Buy    Purchase
	Note   string

	reads *Reads // nil where nobody watches
}

// Value reads a field: told, or the catalogue's default. The origin is Missing
// where nothing is known.
func (p Part) Value(key string) (Value, Origin) {
	f, ok := p.Kind.Field(key)
	if !ok {
		return Value{}, Missing
	}
	p.reads.field(p.Kind, f)
	return f.Of(p.Spec)
}

// Told is what was said of a field, its default left out: absent where nothing was.
func (p Part) Told(key string) Value {
	if f, ok := p.Kind.Field(key); ok {
		p.reads.field(p.Kind, f)
	}
	return p.Spec[key]
}

// Rows are the rows of a table field.
func (p Part) Rows(key string) []Spec { return p.Told(key).Rows() }

// Figure reads a number field.
func (p Part) Figure(key string) Figure {
	f, ok := p.Kind.Field(key)
	if !ok {
		return Figure{}
	}
	p.reads.field(p.Kind, f)
	v, from := f.Of(p.Spec)
	return Figure{Value: v.Num(), From: from, Field: f}
}

// Word reads a text or choice field, "" where it is not known.
func (p Part) Word(key string) string {
	v, _ := p.Value(key)
	return v.Str()
}

// Is tells whether a truth field is known to be true.
func (p Part) Is(key string) bool {
	v, from := p.Value(key)
	return from != Missing && v.Truth()
}

// Ports are the part's ports, as its spec makes them, turned with the part but
// relative to its centre.
func (p Part) Ports() []Port {
	ports := p.Kind.Ports(p.Spec)
	if p.Turn == 0 {
		return ports
	}
	ports = slices.Clone(ports)
	for i := range ports {
		q := &ports[i]
		q.At, q.Side = q.At.Turned(p.Turn), q.Side.Turned(p.Turn)
		q.Landings = slices.Clone(q.Landings)
		for j := range q.Landings {
			q.Landings[j].At = q.Landings[j].At.Turned(p.Turn)
		}
	}
	return ports
}

// Port finds a port by name.
func (p Part) Port(name string) (Port, bool) {
	for _, q := range p.Ports() {
		if q.Name == name {
			return q, true
		}
	}
	return Port{}, false
}

// PortNames lists the ports' names.
func (p Part) PortNames() []string {
	var names []string
	for _, q := range p.Kind.Ports(p.Spec) {
		names = append(names, q.Name)
	}
	return names
}

// Ref names a port of the part.
func (p Part) Ref(port string) PortRef { return PortRef{p.ID, port} }

// Gone tells whether the part comes out in the retrofit, and so takes no part in
// the circuit.
func (p Part) Gone() bool { return p.Status == Remove }

// CompareIDs orders tags as a person counts: BAT2 before BAT10.
func CompareIDs(a, b ID) int {
	x, y := string(a), string(b)
	for x != "" && y != "" {
		if digit(x[0]) && digit(y[0]) {
			var nx, ny string
			nx, x = cutDigits(x)
			ny, y = cutDigits(y)
			tx, ty := strings.TrimLeft(nx, "0"), strings.TrimLeft(ny, "0")
			if c := cmp.Or(cmp.Compare(len(tx), len(ty)), cmp.Compare(tx, ty)); c != 0 {
				return c
			}
			continue
		}
		if x[0] != y[0] {
			return cmp.Compare(x[0], y[0])
		}
		x, y = x[1:], y[1:]
	}
	return cmp.Or(cmp.Compare(len(x), len(y)), cmp.Compare(a, b))
}

func digit(b byte) bool { return b >= '0' && b <= '9' }

func cutDigits(s string) (digits, rest string) {
	i := 0
	for i < len(s) && digit(s[i]) {
		i++
	}
	return s[:i], s[i:]
}
