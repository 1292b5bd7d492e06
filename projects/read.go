package projects

import (
	"cmp"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"rigline/components"
)

// Load reads the project file at a path.
func Load(path string) (*components.Document, *Index, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, nil, fmt.Errorf("read project: %w", err)
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, MaxBytes+1))
	if err != nil {
		return nil, nil, fmt.Errorf("read project: %w", err)
	}
	return Read(path, data)
}

// Read turns the bytes of a project file into a document and an index of where
// everything stands. The name is what faults call the file. Where the file has
// faults the error is Problems, all of them in the order of the file, and there
// is no document.
func Read(name string, data []byte) (*components.Document, *Index, error) {
	r := &reader{
		file:  name,
		index: &Index{at: map[string]Position{}},
		doc:   components.NewDocument(""),
		lines: map[components.ID]int{},
		sound: map[components.ID]bool{},
	}
	if root, ok := r.parse(data); ok && r.refuse(root, 0) {
		r.project(root.Content[0])
		r.doc.Comments = r.comments(root)
	}
	if len(r.problems) > 0 {
		return nil, nil, r.sorted()
	}
	return r.doc, r.index, nil
}

// reader is one reading of one file.
type reader struct {
	file     string
	problems Problems
	index    *Index
	doc      *components.Document
	lines    map[components.ID]int  // where a tag was first told
	sound    map[components.ID]bool // parts that were read without a fault
	tags     []string               // of the parts, for nearPart
	dropped  int                    // faults beyond maxProblems
}

// problem reports a fault at a place.
func (r *reader) problem(line, col int, format string, args ...any) {
	if len(r.problems) >= maxProblems {
		r.dropped++
		return
	}
	r.problems = append(r.problems, Problem{r.file, line, col, fmt.Sprintf(format, args...)})
}

// fault reports a fault at a node.
func (r *reader) fault(n *yaml.Node, format string, args ...any) {
	r.problem(n.Line, n.Column, format, args...)
}

func (r *reader) sorted() Problems {
	slices.SortStableFunc(r.problems, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Col, b.Col))
	})
	if r.dropped > 0 {
		last := r.problems[len(r.problems)-1]
		last.What = fmt.Sprintf("and %d faults more: put these right first", r.dropped)
		r.problems = append(r.problems, last)
	}
	return r.problems
}

// scope is the part, run or list that is being read: faults begin with its name.
type scope struct {
	*reader
	where   string // "part BAT1: ", or ""
	address string // "BAT1", or ""
}

func (s scope) fault(n *yaml.Node, format string, args ...any) {
	s.reader.fault(n, s.where+format, args...)
}

// entry is one key of a mapping with its value.
type entry struct{ key, value *yaml.Node }

// entries are the keys of a mapping that are known; the others are faults. It is
// nil where n is no mapping. hint may say where an unknown key belongs.
func (s scope) entries(n *yaml.Node, what string, keys []string, hint func(key string) string) map[string]entry {
	found := map[string]entry{}
	if empty(n) {
		return found
	}
	if n.Kind != yaml.MappingNode {
		s.fault(n, "%s is %s: want keys and values, as in %s: …", what, shown(n), keys[0])
		return nil
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		k, v := n.Content[i], n.Content[i+1]
		if k.Kind != yaml.ScalarNode {
			s.fault(k, "a key of %s is %s: want a word", what, shown(k))
			continue
		}
		if first, doubled := found[k.Value]; doubled {
			s.fault(k, "key %q is told twice: it stands at line %d already", k.Value, first.key.Line)
			continue
		}
		if !slices.Contains(keys, k.Value) {
			why := ""
			if hint != nil {
				why = hint(k.Value)
			}
			if why == "" {
				why = s.unknownWord("key", k.Value, keys)
			}
			s.fault(k, "%s", why)
			continue
		}
		found[k.Value] = entry{k, v}
		if s.address != "" {
			s.index.put(s.address+"."+k.Value, k.Line, k.Column)
		} else {
			s.index.put(k.Value, k.Line, k.Column)
		}
	}
	return found
}

// topKeys are the keys of a project in the order of the file.
var topKeys = []string{"format", "title", "rig", "basis", "units", "ambient_c", "conductor_temp_c", "parts", "runs", "states", "notes", "accepted"}

// The rule sets and systems of units that a project may name.
var (
	bases       = []string{"us-rv", "iec-caravan"}
	unitSystems = []string{"us", "metric"}
)

// The range of air and conductor temperatures of a project, in °C; that of the
// air is the one of runs.
const (
	ambientLow, ambientHigh     = -40, 90
	conductorLow, conductorHigh = 20, 105
)

func (r *reader) project(root *yaml.Node) {
	s := scope{reader: r}
	if root.Kind != yaml.MappingNode {
		s.fault(root, "the file holds %s: want a project that begins with format: %s", shown(root), Version)
		return
	}
	if !s.version(root) {
		return
	}
	top := s.entries(root, "the project", topKeys, nil)
	if e, ok := top["title"]; ok {
		r.doc.Title = s.text(e.value, "title")
	}
	if e, ok := top["rig"]; ok {
		r.rig(e.value)
	}
	if e, ok := top["basis"]; ok {
		r.doc.Basis = s.word(e.value, "basis", bases)
	}
	if e, ok := top["units"]; ok {
		r.doc.Units = s.word(e.value, "units", unitSystems)
	}
	if e, ok := top["ambient_c"]; ok {
		r.doc.AmbientC, _ = s.number(e.value, "ambient_c", ambientLow, ambientHigh)
	}
	if e, ok := top["conductor_temp_c"]; ok {
		r.doc.ConductorTempC, _ = s.number(e.value, "conductor_temp_c", conductorLow, conductorHigh)
	}
	var edits []components.Edit
	if e, ok := top["parts"]; ok {
		parts := r.parts(s.list(e.value, "parts", maxParts))
		slices.SortFunc(parts, func(a, b components.Part) int { return components.CompareIDs(a.ID, b.ID) })
		for _, p := range parts {
			edits = append(edits, components.AddPart{Part: p})
		}
	}
	// Runs are read against the parts, so these go in first.
	r.apply(root, edits)
	edits = nil
	if e, ok := top["runs"]; ok {
		runs := r.runs(s.list(e.value, "runs", maxRuns))
		slices.SortFunc(runs, func(a, b components.Run) int { return components.CompareIDs(a.ID, b.ID) })
		for _, run := range runs {
			edits = append(edits, components.AddRun{Run: run})
		}
	}
	if e, ok := top["states"]; ok {
		edits = append(edits, components.SetStates{States: r.states(s.list(e.value, "states", maxStates))})
	}
	if e, ok := top["notes"]; ok {
		edits = append(edits, components.SetNotes{Notes: r.notes(s.list(e.value, "notes", maxNotes))})
	}
	if e, ok := top["accepted"]; ok {
		for _, a := range r.accepted(s.list(e.value, "accepted", maxAccepted)) {
			edits = append(edits, components.Accept{Acceptance: a})
		}
	}
	if len(r.problems) == 0 {
		r.apply(root, edits)
	}
}

// apply puts edits into the document. The reader has checked what they check and
// knows the place, so an error here is a check that it lacks.
func (r *reader) apply(root *yaml.Node, edits []components.Edit) {
	next, err := r.doc.Apply(edits...)
	if err != nil {
		r.fault(root, "%v", err)
		return
	}
	r.doc = next
}

// version tells whether the file is of the version that this reader reads. One
// of another version is refused by that alone: its other keys may mean something
// else.
func (s scope) version(root *yaml.Node) bool {
	for i := 0; i+1 < len(root.Content); i += 2 {
		k, v := root.Content[i], root.Content[i+1]
		if k.Value != "format" {
			continue
		}
		var later int
		switch _, err := fmt.Sscanf(v.Value, "rigline/%d", &later); {
		case v.Kind == yaml.ScalarNode && v.Value == Version:
			return true
		case v.Kind == yaml.ScalarNode && err == nil && later > 1 && v.Value == fmt.Sprintf("rigline/%d", later):
			s.fault(v, "format %s is later than this program reads: want %s, or a newer program", v.Value, Version)
		default:
			s.fault(v, "format is %s: want %s%s", shown(v), Version, s.near(v.Value, []string{Version}))
		}
		return false
	}
	s.fault(root, "format is missing: want format: %s in the first line", Version)
	return false
}

var rigKeys = []string{"about", "drawn_by", "checked_by", "revision", "date"}

func (r *reader) rig(n *yaml.Node) {
	s := scope{r, "rig: ", "rig"}
	e := s.entries(n, "it", rigKeys, nil)
	text := func(key string) string {
		if e, ok := e[key]; ok {
			return s.text(e.value, key)
		}
		return ""
	}
	r.doc.Rig = components.Rig{About: text("about"), DrawnBy: text("drawn_by"), CheckedBy: text("checked_by"), Revision: text("revision"), Date: text("date")}
}

// tag reads the id of a part or run and tells whether it can be used.
func (s scope) tag(n *yaml.Node) (components.ID, bool) {
	if n.Kind != yaml.ScalarNode || empty(n) {
		s.fault(n, "id is %s: want a tag, as in BAT1", shown(n))
		return "", false
	}
	id := components.ID(n.Value)
	if err := components.ValidID(id); err != nil {
		s.fault(n, "tag %q: want 1 to 64 characters without dots or spaces", clip(n.Value))
		return "", false
	}
	if line, taken := s.lines[id]; taken {
		s.fault(n, "tag %s is taken: it stands at line %d already", id, line)
		return id, false
	}
	s.lines[id] = n.Line
	return id, true
}

// find looks a key up in a mapping, for what must be known before the rest.
func lookup(n *yaml.Node, key string) *yaml.Node {
	if n.Kind != yaml.MappingNode {
		return nil
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == key {
			return n.Content[i+1]
		}
	}
	return nil
}

// opened makes the scope of an entry of parts, runs or another list: its tag, or
// its number where it has none.
func (r *reader) opened(n *yaml.Node, what, key string, i int) scope {
	s := scope{reader: r, where: fmt.Sprintf("%s %d: ", what, i+1)}
	if id := lookup(n, key); id != nil && id.Kind == yaml.ScalarNode && !empty(id) && id.Value != "" {
		s.where = fmt.Sprintf("%s %s: ", what, clip(id.Value))
		s.address = id.Value
	}
	return s
}

func fieldKeys(fields []components.Field) []string {
	keys := make([]string, len(fields))
	for i := range fields {
		keys[i] = fields[i].Key
	}
	return keys
}

// missing reports a key that must be told.
func (s scope) missing(n *yaml.Node, key, want string) {
	s.fault(n, "%s is missing: want %s", key, want)
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
