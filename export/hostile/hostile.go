// Package hostile makes rigs whose words try to leave the place they are written
// in: markup, formulas, marks that turn the direction of reading, control
// characters, words without an end.
package hostile

import (
	"strings"

	"rigline/components"
	"rigline/projects"
)

// Words are what is written into every text field, in turn.
var Words = []string{
	`</svg><script>alert("x")</script>`,
	`" onload="alert(1)" x="`,
	`]]></style><img src=x onerror=alert(1)>`,
	"\u202egnp.exe\u202c \u05d1\u05d9\u05ea \u0628\u064a\u062a",
	strings.Repeat("Wide", 125),
	"🔋⚡ bank 👩‍🔧",
	"{{.}} ${x} &amp; &#60;b&#62; <b>",
	"=HYPERLINK(\"x\")",
	"line one\nline two\ttab \x00 \x1b[31m red",
	"javascript:alert(1)",
}

// Document is a sample with hostile words in every field that holds words.
func Document() *components.Document {
	doc := projects.Samples()[0].Document()
	n := 0
	word := func() string { n++; return Words[n%len(Words)] }
	edits := []components.Edit{
		components.SetProject{Title: Words[0], Rig: components.Rig{About: word(), DrawnBy: word(), CheckedBy: word(), Revision: word(), Date: word()},
			Basis: doc.Basis, Units: doc.Units, AmbientC: doc.AmbientC, ConductorTempC: doc.ConductorTempC},
		components.SetNotes{Notes: []components.Note{{Form: "note", At: components.Point{X: 60, Y: 60}, Text: word()}, {Form: "cloud", At: components.Point{X: 60, Y: 160}, To: components.Point{X: 100, Y: 200}, Text: word()}}},
	}
	for _, p := range doc.Parts() {
		edits = append(edits, components.Describe{ID: p.ID, Name: word(), Status: p.Status, Note: word(),
			Buy: components.Purchase{Description: word(), Supplier: word(), PartNo: word(), Price: 1}})
		if v, from := p.Value("circuits"); from == components.Given {
			var rows []components.Spec
			for _, r := range v.Rows() {
				rows = append(rows, r.With("label", components.Str(word())))
			}
			edits = append(edits, components.Set{On: p.ID, Key: "circuits", Value: components.Table(rows...)})
		}
	}
	for _, r := range doc.Runs() {
		noted := r.Rerouted()
		noted.Note = word()
		edits = append(edits, noted, components.Set{On: r.ID, Key: "color", Value: components.Str(word())})
	}
	for _, a := range doc.Accepted {
		a.Reason, a.By = word(), word()
		edits = append(edits, components.Accept{Acceptance: a})
	}
	next, err := doc.Apply(edits...)
	if err != nil {
		panic(err)
	}
	return next
}

// FromRight is a sample whose parts have names that are read from the right, some
// with numbers and brackets at their ends.
func FromRight() *components.Document {
	doc := projects.Samples()[0].Document()
	names := []string{"\u05de\u05e6\u05d1\u05e8 \u05e8\u05d0\u05e9\u05d9", "\u05d1\u05d9\u05ea 12", "\u062e\u0632\u0627\u0646 (\u0645\u0627\u0621)"}
	var edits []components.Edit
	for i, p := range doc.Parts() {
		edits = append(edits, components.Describe{ID: p.ID, Name: names[i%len(names)], Status: p.Status, Note: p.Note, Buy: p.Buy})
	}
	next, err := doc.Apply(edits...)
	if err != nil {
		panic(err)
	}
	return next
}
