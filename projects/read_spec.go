package projects

import (
	"fmt"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"rigline/components"
)

// spec reads a mapping against a list of fields.
func (s scope) spec(n *yaml.Node, what string, fields []components.Field) components.Spec {
	if len(fields) == 0 {
		if !empty(n) && (n.Kind != yaml.MappingNode || len(n.Content) > 0) {
			s.fault(n, "%s takes no keys here: leave it out", what)
		}
		return nil
	}
	found := s.entries(n, what, fieldKeys(fields), nil)
	spec := components.Spec{}
	if found == nil {
		return spec // that it holds no keys is fault enough
	}
	for i := range fields {
		f := &fields[i]
		e, told := found[f.Key]
		if told {
			if v, ok := s.value(f, e.value); ok && v.Told() {
				spec[f.Key] = v
			}
			continue
		}
		if f.Required {
			s.missing(n, f.Key, required(f))
		}
	}
	return spec
}

// required says what is missing where a field is not told.
func required(f *components.Field) string {
	want := f.Title + ", " + wants(f)
	if !f.Shapes {
		want += ", or unknown"
	}
	return want
}

func fieldKeys(fields []components.Field) []string {
	keys := make([]string, len(fields))
	for i := range fields {
		keys[i] = fields[i].Key
	}
	return keys
}

// value reads a value of a field.
func (s scope) value(f *components.Field, n *yaml.Node) (v components.Value, ok bool) {
	if n.Kind == yaml.ScalarNode && n.Value == "unknown" && (plain(n) || f.Type != components.Text) {
		v = components.Unknown
	} else if v, ok = s.told(f, n); !ok || !v.Told() {
		return v, ok
	}
	if err := f.Check(v); err != nil {
		near := ""
		if !v.IsUnknown() {
			near = s.near(n.Value, []string{"unknown"})
		}
		s.fault(n, "%v%s", err, near)
		return v, false
	}
	return v, true
}

// told reads a known value by the type of its field; the ranges and words are
// for Field.Check.
func (s scope) told(f *components.Field, n *yaml.Node) (v components.Value, ok bool) {
	switch f.Type {
	case components.List:
		return s.words(f, n)
	case components.Rows:
		return s.rows(f, n)
	case components.Text:
		text := s.text(n, f.Key)
		if text == "" {
			return components.Value{}, n.Kind == yaml.ScalarNode
		}
		return components.Str(text), true
	case components.WireSize:
		if n.Kind == yaml.ScalarNode && strings.TrimSpace(n.Value) == "" {
			return components.Value{}, true
		}
	}
	want := wants(f)
	switch {
	case n.Kind != yaml.ScalarNode || empty(n):
		s.fault(n, "%s is %s: want %s", f.Key, shown(n), want)
		return v, false
	case len(n.Value) > 64:
		s.fault(n, "%s is %s: want %s", f.Key, shown(n), want)
		return v, false
	}
	number, isNumber := parseNumber(n.Value)
	switch {
	case f.Type == components.Number && isNumber && !plain(n):
		s.fault(n, "%s is %q in quotes: want the number alone, %s", f.Key, n.Value, n.Value)
		return v, false
	case f.Type == components.Number && isNumber:
		return components.Num(number), true
	case f.Type == components.Truth && plain(n) && (n.Value == "true" || n.Value == "false"):
		return components.Yes(n.Value == "true"), true
	}
	return components.Str(n.Value), true
}

// wants says what a field takes.
func wants(f *components.Field) string {
	switch f.Type {
	case components.Number:
		if f.Unit != "" {
			return "a number of " + f.Unit
		}
		return "a number"
	case components.Truth:
		return "true or false"
	case components.Choice:
		return "one of " + strings.Join(f.Choices, ", ")
	case components.WireSize:
		return "a size, as in 2/0 AWG or 16 mm2"
	case components.List:
		return "a list, as in [" + strings.Join(f.Choices, ", ") + "]"
	case components.Rows:
		return "a list of rows"
	}
	return "text"
}

func (s scope) words(f *components.Field, n *yaml.Node) (components.Value, bool) {
	if n.Kind != yaml.SequenceNode {
		s.fault(n, "%s is %s: want %s", f.Key, shown(n), wants(f))
		return components.Value{}, false
	}
	var words []string
	for _, c := range s.list(n, f.Key, len(f.Choices)) {
		switch {
		case c.Kind != yaml.ScalarNode:
			s.fault(c, "%s holds %s: want one of %s", f.Key, shown(c), strings.Join(f.Choices, ", "))
			return components.Value{}, false
		case !slices.Contains(f.Choices, c.Value):
			s.fault(c, "%s holds %s: want one of %s%s", f.Key, shown(c), strings.Join(f.Choices, ", "), s.near(c.Value, f.Choices))
			return components.Value{}, false
		case slices.Contains(words, c.Value):
			s.fault(c, "%s holds %s twice", f.Key, shown(c))
			return components.Value{}, false
		}
		words = append(words, c.Value)
	}
	return components.Words(words...), len(words) > 0 || len(n.Content) == 0
}

func (s scope) rows(f *components.Field, n *yaml.Node) (components.Value, bool) {
	if n.Kind != yaml.SequenceNode {
		s.fault(n, "%s is %s: want %s", f.Key, shown(n), wants(f))
		return components.Value{}, false
	}
	before := len(s.problems)
	var rows []components.Spec
	for i, c := range s.list(n, f.Key, maxRows) {
		row := scope{reader: s.reader, where: fmt.Sprintf("%s%s %d: ", s.where, f.Key, i+1)}
		if part, _, ok := strings.Cut(s.address, "."); ok {
			row.address = fmt.Sprintf("%s.c%d", part, i+1)
			s.index.put(row.address, c.Line, c.Column)
		}
		rows = append(rows, row.spec(c, "it", f.Row))
	}
	return components.Table(rows...), len(s.problems) == before
}
