// Package report tells findings: as JSON and SARIF for programs, as text for
// people. The text is made from the same form as the JSON.
package report

import (
	"encoding/json"
	"io"

	"rigline/components"
	"rigline/export/terms"
	"rigline/projects"
	"rigline/rules"
)

// Format is the version of the JSON.
const Format = "rigcheck/1"

// Document is the JSON of a check.
type Document struct {
	Format    string       `json:"format"`
	File      string       `json:"file"`
	Project   Project      `json:"project"`
	Ready     bool         `json:"ready"`
	Readiness string       `json:"readiness"`
	Counts    rules.Counts `json:"counts"`
	Findings  []Finding    `json:"findings"`
	Unchecked []Finding    `json:"unchecked"`
	Questions []Question   `json:"questions"` // the figures to find out, most worth first
	Stale     []Accepted   `json:"stale_acceptances,omitempty"`
	Caution   string       `json:"caution"`
	Cautions  []string     `json:"cautions,omitempty"` // in a hand-off
}

// Project is what every sheet of a hand-off says it belongs to.
type Project struct {
	Title    string `json:"title"`
	Revision string `json:"revision"`
	Date     string `json:"date"`
	Rules    string `json:"rules"` // the rule set and its editions
}

// Editions are the documents that the rule set of a North American vehicle follows.
const Editions = "NEC 2020/2023, 33 CFR 183, ABYC E-11"

// EditionsOf are the documents that a project's rule set follows.
func EditionsOf(doc *components.Document) string {
	if doc.Basis == components.Caravan {
		return "IEC 60364-7-721:2017, 33 CFR 183, ABYC E-11"
	}
	return Editions
}

// ProjectOf reads a document's own words about itself.
func ProjectOf(doc *components.Document) Project {
	return Project{doc.Title, doc.Rig.Revision, doc.Rig.Date, doc.RuleSetName() + ", " + EditionsOf(doc)}
}

// String is the project in one line; what is not given says so.
func (p Project) String() string {
	given := func(s string) string {
		if s == "" {
			return "not given"
		}
		return oneLine(s)
	}
	return given(p.Title) + "; revision " + given(p.Revision) + "; date " + given(p.Date) + "; rule set " + p.Rules
}

// Finding is one finding. Line and Column count from 1 and are nought where the
// file holds none of its addresses.
type Finding struct {
	Rule     string        `json:"rule"`
	Severity string        `json:"severity"`
	On       []string      `json:"on"`
	States   []string      `json:"states"`
	Says     string        `json:"says"`
	Working  []string      `json:"working"`
	RestsOn  []string      `json:"rests_on"`
	Basis    []rules.Basis `json:"basis"`
	Fixes    []Fix         `json:"fixes"`
	Accepted *Accepted     `json:"accepted,omitempty"`
	Behind   []Finding     `json:"behind,omitempty"` // what follows from it
	Line     int           `json:"line,omitempty"`
	Column   int           `json:"column,omitempty"`

	inWords   []string // the states in the words of the rule set; JSON names them as the file does
	stateless bool     // its rule needs no state
}

// InStates are the states that it stands in, in the words of the rule set; none where
// the states make no difference.
func (f Finding) InStates() []string { return f.inWords }

// Question is a figure that is not told, and the checks that wait for it.
type Question struct {
	Asks     string   `json:"asks"`
	At       string   `json:"at"`
	Says     string   `json:"says"`
	Uncovers string   `json:"could_uncover"` // the worst level among the checks
	Rules    []string `json:"rules"`
}

// Fix is a way out.
type Fix struct {
	Says  string `json:"says"`
	Edits []Edit `json:"edits"`
}

// Accepted is a finding taken as it is.
type Accepted struct {
	Rule   string   `json:"rule"`
	On     []string `json:"on"`
	Reason string   `json:"reason"`
	By     string   `json:"by,omitempty"`
	Level  string   `json:"level,omitempty"`
}

// Caution is the sentence that every report carries.
const Caution = "A check of a drawing against stated rules with stated data. It cannot see the installation, and a clean result is not an approval. Local codes, the equipment's manuals and the authority having jurisdiction come first."

// Of makes the JSON form of a report. index may be nil.
func Of(r *rules.Report, file string, index *projects.Index) Document {
	d := Document{Format: Format, File: file, Project: ProjectOf(r.Doc), Ready: r.Ready(), Readiness: r.Readiness(), Counts: r.Counts(), Findings: []Finding{}, Unchecked: []Finding{}, Questions: []Question{}, Caution: Caution}
	for _, f := range r.Findings {
		d.Findings = append(d.Findings, finding(f, r.Doc.Basis, index))
	}
	for _, f := range r.Unchecked {
		g := finding(f, r.Doc.Basis, index)
		g.Severity = "unchecked"
		d.Unchecked = append(d.Unchecked, g)
	}
	for _, q := range r.Questions() {
		d.Questions = append(d.Questions, Question{q.Asks, q.At, q.Message, q.Level.String(), q.Rules})
	}
	for _, a := range r.Stale {
		d.Stale = append(d.Stale, accepted(a))
	}
	d.say(terms.Of(r.Doc))
	return d
}

// say puts what the findings say into the words of the rig's rule set. What they rest
// on is quoted as it was published.
func (d *Document) say(t terms.Terms) {
	findings(d.Findings, t)
	findings(d.Unchecked, t)
	for i, q := range d.Questions {
		d.Questions[i].Says = t.Say(q.Says)
	}
}

func findings(all []Finding, t terms.Terms) {
	for i, f := range all {
		all[i].Says, all[i].Working, all[i].RestsOn = t.Say(f.Says), t.All(f.Working), t.All(f.RestsOn)
		if !f.stateless {
			all[i].inWords = t.All(f.States)
		}
		for k, x := range f.Fixes {
			f.Fixes[k].Says = t.Say(x.Says)
		}
		findings(f.Behind, t)
	}
}

// list makes an empty list of none, so that the JSON always has one.
func list[T any](all []T) []T {
	if all == nil {
		return []T{}
	}
	return all
}

func accepted(a components.Acceptance) Accepted {
	return Accepted{a.Rule, list(a.On), a.Reason, a.By, a.Level}
}

func finding(f rules.Finding, set string, index *projects.Index) Finding {
	g := Finding{stateless: f.Rule.Stateless, Rule: f.Rule.ID, Severity: f.Level.String(), On: f.Addresses(), States: list(f.States), Says: f.Message,
		Working: list(f.Working), RestsOn: list(f.RestsOn), Basis: list(f.Rule.BasisOf(set)), Fixes: []Fix{}}
	for _, fix := range f.Fixes {
		out := Fix{Says: fix.Title, Edits: []Edit{}}
		for _, e := range fix.Edits {
			out.Edits = append(out.Edits, editOf(e))
		}
		g.Fixes = append(g.Fixes, out)
	}
	for _, x := range f.Behind {
		g.Behind = append(g.Behind, finding(x, set, index))
	}
	if f.Accepted != nil {
		a := accepted(*f.Accepted)
		g.Accepted = &a
	}
	for _, address := range f.Addresses() {
		if at, ok := index.Find(address); ok {
			g.Line, g.Column = at.Line, at.Col
			break
		}
	}
	return g
}

// JSON writes the document as JSON.
func JSON(w io.Writer, d Document) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(d)
}
