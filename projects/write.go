package projects

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"

	"rigline/components"
)

// Write gives the bytes of a document's project file. One document has one file:
// keys in the order of the format, parts and runs in tag order, and nothing said
// that is only a default, but for the assumptions that all of the rig rests on.
// Reading the file gives the same document, and writing that the same bytes.
//
// Places that no drawing tool gives, off the grid or beyond the sheet, are put
// on the nearest place that is on it.
func Write(doc *components.Document) []byte {
	w := &writer{doc: doc}
	w.key("format", Version)
	w.key("title", quote(doc.Title, false))
	w.list("rig", rigText(doc.Rig), doc.Rig == components.Rig{})
	w.key("basis", quote(doc.Basis, false))
	w.key("units", quote(doc.Units, false))
	w.key("ambient_c", number(doc.AmbientC))
	w.key("conductor_temp_c", number(doc.ConductorTempC))
	if doc.Ampacity != components.ByConstruction {
		w.key("ampacity", doc.Ampacity)
	}
	w.parts()
	w.runs()
	w.flowList("states", len(doc.States), func(i int) string { return stateText(doc.States[i]) })
	w.flowList("revisions", len(doc.Revisions), func(i int) string { return revisionText(doc.Revisions[i]) })
	w.flowList("notes", len(doc.Notes), func(i int) string { return noteText(doc.Notes[i]) })
	w.flowList("accepted", len(doc.Accepted), func(i int) string { return acceptedText(doc.Accepted[i]) })
	w.flowList("readings", len(doc.Readings), func(i int) string { return readingText(doc.Readings[i]) })
	if c := doc.Comments[endOfFile]; len(commentLines(c.Above)) > 0 {
		w.WriteByte('\n')
		w.above("", c)
	}
	return w.Bytes()
}

type writer struct {
	bytes.Buffer
	doc *components.Document
}

func (w *writer) line(format string, args ...any) {
	fmt.Fprintf(w, format, args...)
	w.WriteByte('\n')
}

// above writes what a hand wrote above an entry.
func (w *writer) above(indent string, c components.Comment) {
	for _, text := range commentLines(c.Above) {
		w.line("%s", strings.TrimRight(indent+"# "+text, " "))
	}
}

// beside is what a hand wrote in the line of an entry, with the # before it.
func beside(c components.Comment) string {
	if text := comment(strings.ReplaceAll(c.Beside, "\n", " ")); text != "" {
		return " # " + text
	}
	return ""
}

// key writes a key of the project with a value of one line.
func (w *writer) key(key, value string) {
	c := w.doc.Comments[topAddress(w.doc, key)]
	w.above("", c)
	w.line("%s: %s%s", key, value, beside(c))
}

// list writes a key of the project unless nothing is said by it.
func (w *writer) list(key, value string, left bool) {
	if _, commented := w.doc.Comments[topAddress(w.doc, key)]; left && !commented {
		return
	}
	w.key(key, value)
}

// flowList writes a list of the project with one entry a line.
func (w *writer) flowList(key string, n int, text func(i int) string) {
	c, commented := w.doc.Comments[topAddress(w.doc, key)]
	if n == 0 && !commented {
		return
	}
	w.WriteByte('\n')
	w.head(key, n, c)
	for i := range n {
		w.line("  - %s", text(i))
	}
}

// head writes the line that opens a list of the project.
func (w *writer) head(key string, n int, c components.Comment) {
	w.above("", c)
	none := ""
	if n == 0 {
		none = " []"
	}
	w.line("%s:%s%s", key, none, beside(c))
}

func (w *writer) parts() {
	parts := w.doc.Parts()
	w.WriteByte('\n')
	w.head("parts", len(parts), w.doc.Comments[topAddress(w.doc, "parts")])
	for i, p := range parts {
		if i > 0 {
			w.WriteByte('\n')
		}
		w.part(p)
	}
}

func (w *writer) part(p components.Part) {
	w.entry(p.ID)
	w.line("    kind: %s", p.Kind.ID)
	w.text("name", p.Name)
	w.line("    at: %s", point(onGrid(p.At)))
	if turn := ((p.Turn/90%4 + 4) % 4) * 90; turn != 0 {
		w.line("    turn: %d", turn)
	}
	if p.Pinned {
		w.line("    pinned: true")
	}
	w.status(p.Status)
	w.spec(p.Kind.Fields, p.Spec)
	if buy := buyText(p.Buy); buy != "" {
		w.line("    buy: %s", buy)
	}
	w.text("note", p.Note)
}

// entry opens a part or a run.
func (w *writer) entry(id components.ID) {
	c := w.doc.Comments[string(id)]
	w.above("  ", c)
	w.line("  - id: %s%s", quote(string(id), false), beside(c))
}

// text writes a text of a part or run unless it is empty.
func (w *writer) text(key, s string) {
	if s == "" {
		return
	}
	lines, ok := block(s)
	if !ok {
		w.line("    %s: %s", key, quote(s, false))
		return
	}
	w.line("    %s: |-", key)
	for _, line := range lines {
		if line == "" {
			w.WriteByte('\n')
			continue
		}
		w.line("      %s", line)
	}
}

func (w *writer) status(s components.Status) {
	if s != "" && s != components.New {
		w.line("    status: %s", quote(string(s), false))
	}
}

// spec writes what is told of a part: in one line, or, where there are rows, a
// key and a row a line.
func (w *writer) spec(fields []components.Field, s components.Spec) {
	hasRows, told := false, false
	for i := range fields {
		v := s[fields[i].Key]
		told = told || v.Told()
		hasRows = hasRows || len(v.Rows()) > 0
	}
	switch {
	case !told:
		return
	case !hasRows:
		w.line("    spec: %s", flowSpec(fields, s))
		return
	}
	w.line("    spec:")
	for i := range fields {
		f := &fields[i]
		v := s[f.Key]
		switch {
		case !v.Told():
		case len(v.Rows()) > 0:
			w.line("      %s:", f.Key)
			for _, row := range v.Rows() {
				w.line("        - %s", flowSpec(f.Row, row))
			}
		default:
			w.line("      %s: %s", f.Key, value(v, false))
		}
	}
}

// flowSpec writes the told values in the order of their fields.
func flowSpec(fields []components.Field, s components.Spec) string {
	var f flow
	for i := range fields {
		if v := s[fields[i].Key]; v.Told() {
			f.raw(fields[i].Key, value(v, true))
		}
	}
	return f.String()
}

// value writes a value of a field.
func value(v components.Value, flow bool) string {
	switch {
	case v.IsUnknown():
		return "unknown"
	case v.Type() == components.Number:
		return number(v.Num())
	case v.Type() == components.Truth:
		return strconv.FormatBool(v.Truth())
	case v.Type() == components.List:
		return words(v.Words())
	case v.Type() == components.Rows:
		return "[]"
	}
	return quote(v.Str(), flow)
}

func words(list []string) string {
	quoted := make([]string, len(list))
	for i, s := range list {
		quoted[i] = quote(s, true)
	}
	return "[" + strings.Join(quoted, ", ") + "]"
}

func number(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "unknown" // no figure; the model's checks let none in
	}
	return strconv.FormatFloat(v+0, 'f', -1, 64)
}

func (w *writer) runs() {
	runs := w.doc.Runs()
	w.WriteByte('\n')
	w.head("runs", len(runs), w.doc.Comments[topAddress(w.doc, "runs")])
	for i, r := range runs {
		if i > 0 {
			w.WriteByte('\n')
		}
		w.run(r)
	}
}

func (w *writer) run(r components.Run) {
	w.entry(r.ID)
	w.line("    from: %s", quote(r.From.String(), false))
	w.line("    to: %s", quote(r.To.String(), false))
	if len(r.Cores) > 0 {
		cores := make([]string, len(r.Cores))
		for i, c := range r.Cores {
			cores[i] = c.String()
		}
		w.line("    cores: %s", words(cores))
	}
	for i := range components.RunFields {
		f := &components.RunFields[i]
		if v := r.Spec[f.Key]; v.Told() {
			w.line("    %s: %s", f.Key, value(v, false))
		}
	}
	w.status(r.Status)
	if len(r.Path) > 0 {
		bends := make([]string, len(r.Path))
		for i, p := range r.Path {
			bends[i] = point(onGrid(p))
		}
		w.line("    path: [%s]", strings.Join(bends, ", "))
	}
	w.text("note", r.Note)
}

func point(p components.Point) string { return fmt.Sprintf("[%d, %d]", p.X, p.Y) }

// onGrid is the nearest place on the grid and on the sheet.
func onGrid(p components.Point) components.Point {
	near := func(v int) int {
		v = max(-sheetEdge, min(sheetEdge, v))
		return int(math.Round(float64(v)/components.Module)) * components.Module
	}
	return components.Point{X: near(p.X), Y: near(p.Y)}
}

func onSheet(p components.Point) components.Point {
	near := func(v int) int { return max(-sheetEdge, min(sheetEdge, v)) }
	return components.Point{X: near(p.X), Y: near(p.Y)}
}

// flow builds a mapping in one line.
type flow struct{ pairs []string }

func (f *flow) raw(key, value string) { f.pairs = append(f.pairs, key+": "+value) }

func (f *flow) text(key, s string) {
	if s != "" {
		f.raw(key, quote(s, true))
	}
}

func (f *flow) String() string { return "{" + strings.Join(f.pairs, ", ") + "}" }

func rigText(r components.Rig) string {
	var f flow
	f.text("about", r.About)
	f.text("drawn_by", r.DrawnBy)
	f.text("checked_by", r.CheckedBy)
	f.text("revision", r.Revision)
	f.text("date", r.Date)
	return f.String()
}

func buyText(b components.Purchase) string {
	var f flow
	f.text("description", b.Description)
	f.text("supplier", b.Supplier)
	f.text("part_no", b.PartNo)
	if b.Price != 0 {
		f.raw("price", number(b.Price))
	}
	if f.pairs == nil {
		return ""
	}
	return f.String()
}

func stateText(s components.State) string {
	var f flow
	turned := map[bool]string{true: "on", false: "off"}
	f.raw("name", quote(s.Name, true))
	if s.Shore == "" {
		f.raw("shore", "off")
	} else {
		f.raw("shore", quote(s.Shore, true))
	}
	f.raw("generator", turned[s.Generator])
	f.raw("sun", number(s.Sun))
	f.raw("engine", turned[s.Engine])
	f.raw("soc", number(s.SoC))
	tags := func(key string, ids []components.ID) {
		if len(ids) == 0 {
			return
		}
		list := make([]string, len(ids))
		for i, id := range ids {
			list[i] = string(id)
		}
		f.raw(key, words(list))
	}
	tags("off", s.Off)
	tags("on", s.On)
	if s.Bypass {
		f.raw("bypass", "true")
	}
	return f.String()
}

func revisionText(r components.Revision) string {
	var f flow
	f.text("letter", r.Letter)
	f.text("date", r.Date)
	f.text("what", r.What)
	f.text("by", r.By)
	return f.String()
}

func noteText(n components.Note) string {
	var f flow
	f.text("form", n.Form)
	f.raw("at", point(onSheet(n.At)))
	if n.To != (components.Point{}) {
		f.raw("to", point(onSheet(n.To)))
	}
	f.text("text", n.Text)
	return f.String()
}

func acceptedText(a components.Acceptance) string {
	var f flow
	f.text("rule", a.Rule)
	if len(a.On) > 0 {
		f.raw("on", words(a.On))
	}
	f.text("reason", a.Reason)
	f.text("by", a.By)
	f.text("level", a.Level)
	return f.String()
}

func readingText(r components.Reading) string {
	var f flow
	f.text("item", r.Item)
	f.raw("value", r.Value) // a number, yes or no
	f.text("unit", r.Unit)
	f.text("date", r.Date)
	f.text("by", r.By)
	f.text("note", r.Note)
	if r.Baseline {
		f.raw("baseline", "true")
	}
	return f.String()
}
