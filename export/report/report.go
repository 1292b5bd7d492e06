// Package report tells findings: as JSON and SARIF for programs, as text for
// people. The text is made from the same form as the JSON.
package report

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"rigline/components"
	"rigline/projects"
	"rigline/rules"
)

// Format is the version of the JSON.
const Format = "rigcheck/1"

// Document is the JSON of a check.
type Document struct {
	Format    string       `json:"format"`
	File      string       `json:"file"`
	Ready     bool         `json:"ready"`
	Readiness string       `json:"readiness"`
	Counts    rules.Counts `json:"counts"`
	Findings  []Finding    `json:"findings"`
	Unchecked []Finding    `json:"unchecked"`
	Stale     []Accepted   `json:"stale_acceptances,omitempty"`
	Caution   string       `json:"caution"`
}

// Finding is one finding.
type Finding struct {
	Rule     string        `json:"rule"`
	Severity string        `json:"severity"`
	On       []string      `json:"on"`
	States   []string      `json:"states"`
	Says     string        `json:"says"`
	Working  []string      `json:"working,omitempty"`
	RestsOn  []string      `json:"rests_on,omitempty"`
	Basis    []rules.Basis `json:"basis"`
	Fixes    []Fix         `json:"fixes,omitempty"`
	Accepted *Accepted     `json:"accepted,omitempty"`
	Line     int           `json:"line,omitempty"`
	Column   int           `json:"column,omitempty"`
}

// Fix is a way out.
type Fix struct {
	Says  string `json:"says"`
	Edits []Edit `json:"edits"`
}

// Edit is one change, named by what it does.
type Edit struct {
	Do    string `json:"do"`
	On    string `json:"on,omitempty"`
	Key   string `json:"key,omitempty"`
	Value string `json:"value,omitempty"`
	Says  string `json:"says"`
}

// Accepted is a finding taken as it is.
type Accepted struct {
	Rule   string   `json:"rule"`
	On     []string `json:"on"`
	Reason string   `json:"reason"`
	By     string   `json:"by,omitempty"`
}

// Caution is the sentence that every report carries.
const Caution = "A check of a drawing against stated rules with stated data. It cannot see the installation, and a clean result is not an approval. Local codes, the equipment's manuals and the authority having jurisdiction come first."

// Of makes the JSON form of a report. index may be nil.
func Of(r *rules.Report, file string, index *projects.Index) Document {
	d := Document{Format: Format, File: file, Ready: r.Ready(), Readiness: r.Readiness(), Counts: r.Counts(), Findings: []Finding{}, Unchecked: []Finding{}, Caution: Caution}
	for _, f := range r.Findings {
		d.Findings = append(d.Findings, finding(f, index))
	}
	for _, f := range r.Unchecked {
		g := finding(f, index)
		g.Severity = "unchecked"
		d.Unchecked = append(d.Unchecked, g)
	}
	for _, a := range r.Stale {
		d.Stale = append(d.Stale, accepted(a))
	}
	return d
}

func accepted(a components.Acceptance) Accepted { return Accepted{a.Rule, a.On, a.Reason, a.By} }

func finding(f rules.Finding, index *projects.Index) Finding {
	g := Finding{Rule: f.Rule.ID, Severity: f.Level.String(), On: f.Addresses(), States: f.States, Says: f.Message, Working: f.Working, RestsOn: f.RestsOn, Basis: f.Rule.Basis}
	for _, fix := range f.Fixes {
		out := Fix{Says: fix.Title, Edits: []Edit{}}
		for _, e := range fix.Edits {
			out.Edits = append(out.Edits, edit(e))
		}
		g.Fixes = append(g.Fixes, out)
	}
	if f.Accepted != nil {
		a := accepted(*f.Accepted)
		g.Accepted = &a
	}
	if at, ok := index.Find(f.At); ok {
		g.Line, g.Column = at.Line, at.Col
	}
	return g
}

func edit(e components.Edit) Edit {
	out := Edit{Says: e.String()}
	switch e := e.(type) {
	case components.Set:
		out.Do, out.On, out.Key, out.Value = "set", string(e.On), e.Key, e.Value.String()
	case components.AddPart:
		out.Do, out.On, out.Value = "add-part", string(e.Part.ID), e.Part.Kind.ID
	case components.RemovePart:
		out.Do, out.On = "remove-part", string(e.ID)
	case components.AddRun:
		out.Do, out.On, out.Value = "add-run", string(e.Run.ID), fmt.Sprintf("%s to %s", e.Run.From, e.Run.To)
	case components.RemoveRun:
		out.Do, out.On = "remove-run", string(e.ID)
	default:
		out.Do = "change"
	}
	return out
}

// JSON writes the document as JSON.
func JSON(w io.Writer, d Document) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(d)
}

// Brief writes one line a finding: file:line:column: level: what (rule).
func Brief(w io.Writer, d Document) error {
	for _, f := range append(append([]Finding{}, d.Findings...), d.Unchecked...) {
		level := f.Severity
		if f.Accepted != nil {
			level += ", accepted"
		}
		if _, err := fmt.Fprintf(w, "%s:%d:%d: %s: %s (%s)\n", d.File, f.Line, f.Column, level, f.Says, f.Rule); err != nil {
			return err
		}
	}
	return nil
}

// Text writes the findings for a person, worst first, with their arithmetic.
func Text(w io.Writer, d Document) error {
	var b strings.Builder
	for _, f := range d.Findings {
		b.WriteString(f.text(d.File))
	}
	if len(d.Unchecked) > 0 {
		fmt.Fprintf(&b, "Not checked, for want of a figure:\n\n")
		for _, f := range d.Unchecked {
			fmt.Fprintf(&b, "  %s: %s (%s)\n", f.On[0], f.Says, f.Rule)
		}
		b.WriteString("\n")
	}
	for _, a := range d.Stale {
		fmt.Fprintf(&b, "An acceptance of %s on %s matches nothing any more: take it out.\n", a.Rule, strings.Join(a.On, ", "))
	}
	fmt.Fprintf(&b, "%s: %s.\n%s\n", d.File, d.Readiness, Caution)
	_, err := io.WriteString(w, b.String())
	return err
}

func (f Finding) text(file string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s  %s\n", strings.ToUpper(f.Severity), strings.Join(f.On, ", "))
	fmt.Fprintf(&b, "  %s.\n", strings.TrimSuffix(f.Says, "."))
	for _, w := range f.Working {
		fmt.Fprintf(&b, "      %s\n", w)
	}
	for _, r := range f.RestsOn {
		fmt.Fprintf(&b, "      rests on: %s\n", r)
	}
	fmt.Fprintf(&b, "  States: %s\n", strings.Join(f.States, ", "))
	for _, x := range f.Basis {
		fmt.Fprintf(&b, "  Basis: %s\n", strings.Join(clean(x.Source, x.Clause, x.Says, string(x.Seen)), "; "))
	}
	for _, x := range f.Fixes {
		fmt.Fprintf(&b, "  Repair: %s\n", x.Says)
	}
	if f.Accepted != nil {
		fmt.Fprintf(&b, "  Accepted by %s: %s\n", or(f.Accepted.By, "somebody"), f.Accepted.Reason)
	}
	at := file
	if f.Line > 0 {
		at = fmt.Sprintf("%s:%d:%d", file, f.Line, f.Column)
	}
	fmt.Fprintf(&b, "  %s  (%s)\n\n", at, f.Rule)
	return b.String()
}

func clean(words ...string) []string {
	var out []string
	for _, w := range words {
		if w != "" {
			out = append(out, w)
		}
	}
	return out
}

func or(a, b string) string {
	if a == "" {
		return b
	}
	return a
}
