package components

import (
	"fmt"
	"maps"
	"reflect"
	"strconv"
	"strings"
)

// ValueType says what a field of a part or a run holds.
type ValueType int

// The types of value.
const (
	Number ValueType = iota
	Text
	Truth
	Choice
	WireSize // text that units.ParseSize reads
	List     // words, as a transfer switch's poles
	Rows     // a table, as a panel's circuits
)

// Value is one value of a field: told, told to be unknown, or absent.
// The zero Value is absent.
type Value struct {
	told    bool
	unknown bool
	typ     ValueType
	num     float64
	text    string
	list    []string
	rows    []Spec
}

// Num, Str, Yes, Words and Table make told values; Unknown is the value of a
// figure that a survey could not find.
func Num(v float64) Value      { return Value{told: true, typ: Number, num: v} }
func Str(v string) Value       { return Value{told: true, typ: Text, text: v} }
func Yes(v bool) Value         { return Value{told: true, typ: Truth, num: map[bool]float64{true: 1}[v]} }
func Words(v ...string) Value  { return Value{told: true, typ: List, list: v} }
func Table(rows ...Spec) Value { return Value{told: true, typ: Rows, rows: rows} }

// Unknown is told, and its figure is not known.
var Unknown = Value{told: true, unknown: true}

// Told tells whether anything was said, "unknown" included.
func (v Value) Told() bool { return v.told }

// Known tells whether a figure or word is there.
func (v Value) Known() bool { return v.told && !v.unknown }

// IsUnknown tells whether the value was told to be unknown.
func (v Value) IsUnknown() bool { return v.unknown }

// Num, Str, Truth, Words and Rows read a known value; an absent or unknown one
// gives the zero of its type, so ask Known first.
func (v Value) Num() float64    { return v.num }
func (v Value) Str() string     { return v.text }
func (v Value) Truth() bool     { return v.num != 0 }
func (v Value) Words() []string { return v.list }
func (v Value) Rows() []Spec    { return v.rows }

// Type is the type of a known value.
func (v Value) Type() ValueType { return v.typ }

// String prints the value as the file writes it; rows print their count.
func (v Value) String() string {
	switch {
	case !v.told:
		return ""
	case v.unknown:
		return "unknown"
	case v.typ == Number:
		return strconv.FormatFloat(v.num, 'f', -1, 64)
	case v.typ == Truth:
		return strconv.FormatBool(v.num != 0)
	case v.typ == List:
		return strings.Join(v.list, ", ")
	case v.typ == Rows:
		return fmt.Sprintf("%d rows", len(v.rows))
	}
	return v.text
}

// Equal compares two values deeply.
func (v Value) Equal(o Value) bool {
	if v.told != o.told || v.unknown != o.unknown || v.num != o.num || v.text != o.text ||
		len(v.list) != len(o.list) || len(v.rows) != len(o.rows) {
		return false
	}
	for i := range v.list {
		if v.list[i] != o.list[i] {
			return false
		}
	}
	for i := range v.rows {
		if !v.rows[i].Equal(o.rows[i]) {
			return false
		}
	}
	return true
}

// Spec holds the told values of a part, a run or a row, by key. It is never
// changed in place: With gives the next one.
type Spec map[string]Value

// Same tells whether two are one and the same, not only alike.
func (s Spec) Same(o Spec) bool {
	return reflect.ValueOf(s).UnsafePointer() == reflect.ValueOf(o).UnsafePointer()
}

// With gives a copy with one value set, or taken out where v is absent.
func (s Spec) With(key string, v Value) Spec {
	next := maps.Clone(s)
	if next == nil {
		next = Spec{}
	}
	if v.Told() {
		next[key] = v
	} else {
		delete(next, key)
	}
	return next
}

// Equal compares two specs deeply.
func (s Spec) Equal(o Spec) bool {
	return maps.EqualFunc(s, o, Value.Equal)
}

// Origin says where a figure comes from.
type Origin int

// A figure is given by the person, taken from the catalogue's default, or not known.
const (
	Missing Origin = iota
	Given
	Default
)

// Figure is a number and where it comes from. One that is Missing holds no number.
type Figure struct {
	Value float64
	From  Origin
	Field *Field
}

// Known tells whether there is a number at all.
func (f Figure) Known() bool { return f.From != Missing }
