package components

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"rigline/components/units"
)

// Field is one line of a part's, run's or project's details: its key in the
// file, what a person reads, its unit, range and default.
type Field struct {
	Key      string
	Title    string
	Unit     string // printed beside the number: "A", "V", "mΩ"
	Type     ValueType
	Choices  []string  // of a Choice or a List
	Min, Max float64   // of a Number; both zero means no bound but that it is finite
	Whole    bool      // a Number without a fraction
	OneOf    []float64 // the only values of a Number, where there are few
	Required bool
	Shapes   bool // decides the ports, so it cannot be unknown
	Help     string

	Default     Value
	DefaultFrom string             // where the default comes from, shown beside it
	Derive      func(s Spec) Value // a default that follows from other fields
	Row         []Field            // the columns of Rows

	number uint16 // its place in a FieldSet
}

// Of gives the value told in s, or the default.
func (f *Field) Of(s Spec) (Value, Origin) {
	if v, ok := s[f.Key]; ok {
		if v.IsUnknown() {
			return v, Missing
		}
		return v, Given
	}
	if f.Derive != nil {
		if v := f.Derive(s); v.Known() {
			return v, Default
		}
	}
	if f.Default.Known() {
		return f.Default, Default
	}
	return Value{}, Missing
}

// Check says what is wrong with a value, in words for the person who wrote it.
func (f *Field) Check(v Value) error {
	if v.IsUnknown() {
		if f.Shapes {
			return fmt.Errorf("%s cannot be unknown: it decides which terminals there are", f.Key)
		}
		return nil
	}
	switch f.Type {
	case Number:
		if v.typ != Number {
			return fmt.Errorf("%s is %q: want a number, as in %s", f.Key, v, f.example())
		}
		if math.IsNaN(v.num) || math.IsInf(v.num, 0) {
			return fmt.Errorf("%s is %v: want a finite number", f.Key, v)
		}
		if (f.Min != 0 || f.Max != 0) && (v.num < f.Min || v.num > f.Max) {
			return fmt.Errorf("%s is %v: want %v to %v%s", f.Key, v, f.Min, f.Max, unitSuffix(f.Unit))
		}
		if f.Whole && v.num != math.Trunc(v.num) {
			return fmt.Errorf("%s is %v: want a whole number, as in %v", f.Key, v, math.Round(v.num))
		}
		if len(f.OneOf) > 0 && !slices.Contains(f.OneOf, v.num) {
			return fmt.Errorf("%s is %v: want one of %s%s", f.Key, v, numbers(f.OneOf), unitSuffix(f.Unit))
		}
	case Text:
		if v.typ != Text {
			return fmt.Errorf("%s is %v: want text", f.Key, v)
		}
	case Truth:
		if v.typ != Truth {
			return fmt.Errorf("%s is %q: want true or false", f.Key, v)
		}
	case Choice:
		if !slices.Contains(f.Choices, v.String()) {
			return fmt.Errorf("%s is %q: want %s%s", f.Key, v, oneOf(f.Choices), DidYouMean(v.String(), f.Choices))
		}
	case WireSize:
		if _, err := units.ParseSize(v.String()); err != nil {
			return fmt.Errorf("%s: %w", f.Key, err)
		}
	case List:
		if v.typ != List {
			return fmt.Errorf("%s is %q: want a list, as in [%s]", f.Key, v, strings.Join(f.Choices, ", "))
		}
		for _, w := range v.list {
			if !slices.Contains(f.Choices, w) {
				return fmt.Errorf("%s holds %q: want %s%s", f.Key, w, oneOf(f.Choices), DidYouMean(w, f.Choices))
			}
		}
	case Rows:
		if v.typ != Rows {
			return fmt.Errorf("%s is %q: want a list of rows", f.Key, v)
		}
		for i, row := range v.rows {
			if err := CheckSpec(f.Row, row); err != nil {
				return fmt.Errorf("%s row %d: %w", f.Key, i+1, err)
			}
		}
	}
	return nil
}

func (f *Field) example() string {
	if v := f.Default; v.Known() {
		return v.String()
	}
	if f.Min > 0 {
		return strconv.FormatFloat(f.Min, 'f', -1, 64)
	}
	return "2.5"
}

// Parse reads what a person typed into the field: "" takes the value out.
func (f *Field) Parse(text string) (Value, error) {
	text = strings.TrimSpace(text)
	var v Value
	switch {
	case text == "":
		return Value{}, nil
	case text == "unknown" || text == "?":
		v = Unknown
	case f.Type == Number:
		n, err := strconv.ParseFloat(strings.TrimSuffix(text, " "+f.Unit), 64)
		if err != nil {
			return Value{}, fmt.Errorf("%s is %q: want a number, as in %s", f.Key, text, f.example())
		}
		v = Num(n)
	case f.Type == Truth:
		b, err := strconv.ParseBool(text)
		if err != nil {
			return Value{}, fmt.Errorf("%s is %q: want true or false", f.Key, text)
		}
		v = Yes(b)
	case f.Type == List:
		words := strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ' ' })
		v = Words(words...)
	default:
		v = Str(text)
	}
	return v, f.Check(v)
}

// CheckSpec checks every told value and that every required one is there.
// Keys that no field names are for the reader, who knows where they stand.
func CheckSpec(fields []Field, s Spec) error {
	for i := range fields {
		f := &fields[i]
		v, ok := s[f.Key]
		if !ok {
			if f.Required {
				return fmt.Errorf("%s is missing: want %s, or unknown", f.Key, f.Title)
			}
			continue
		}
		if err := f.Check(v); err != nil {
			return err
		}
	}
	return nil
}

func numbers(values []float64) string {
	words := make([]string, len(values))
	for i, v := range values {
		words[i] = strconv.FormatFloat(v, 'f', -1, 64)
	}
	return strings.Join(words, ", ")
}

func unitSuffix(u string) string {
	if u == "" {
		return ""
	}
	return " " + u
}

func oneOf(words []string) string { return "one of " + strings.Join(words, ", ") }

// DidYouMean gives `; did you mean "inlet"?` where a word stands near, or "".
func DidYouMean(word string, words []string) string {
	best, at := 1+(len(word)+1)/3, ""
	for _, w := range words {
		if d := distance(strings.ToLower(word), strings.ToLower(w)); d < best {
			best, at = d, w
		}
	}
	if at == "" {
		return ""
	}
	return fmt.Sprintf("; did you mean %q?", at)
}

// distance is the number of letters to change, add or drop (Levenshtein).
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		last := row[0]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			last, row[j] = row[j], min(row[j]+1, row[j-1]+1, last+cost)
		}
	}
	return row[len(b)]
}
