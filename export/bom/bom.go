// Package bom turns a document into a shopping list: what to buy, what is kept and
// what comes out, each row with the tags that it serves. It reads the document
// alone, so it waits for no solver.
package bom

import (
	"cmp"
	"slices"
	"strings"

	"rigline/components"
	"rigline/export/terms"
)

// Section parts the list.
type Section string

// The sections. What is bought comes first, then what stays and what comes out.
const (
	Equipment  Section = "equipment"
	Protection Section = "protection"
	Spares     Section = "spares"
	Cable      Section = "cable"
	Lugs       Section = "lugs and terminals"
	Shrink     Section = "heat shrink and boots"
	Fittings   Section = "clamps, connectors, grommets"
	Marking    Section = "labels"
	Kept       Section = "kept"
	Out        Section = "comes out"
)

// Sections is every section in the order of the list.
var Sections = []Section{Equipment, Protection, Spares, Cable, Lugs, Shrink, Fittings, Marking, Kept, Out}

// Bought tells whether the section is of things to buy.
func (s Section) Bought() bool { return s != Kept && s != Out }

// Row is one line of the list.
type Row struct {
	Section     Section
	Quantity    float64
	Known       bool   // false: a figure is missing, and Quantity is no number of anything
	Unit        string // pc, ft or m
	Description string
	Rating      string
	For         []components.ID // the tags it serves
	Price       float64         // of one, in the project's money; 0 is not given
	Note        string
	Net         float64 // of cable: the length in the drawing, before waste; 0 of other things
	Sold        string  // of cable: how it is sold
	Plan        Plan    // where no price is given
}

// Rows are the lines of the list. The same document gives the same rows.
func Rows(doc *components.Document) []Row {
	l := &list{doc: doc, rows: map[rowKey]*Row{}, reels: map[reelKey]*reel{}}
	for _, p := range doc.Parts() {
		l.part(p)
	}
	for _, r := range doc.Runs() {
		l.run(r)
	}
	l.windUp()
	l.marking()
	return l.sorted()
}

// Inside are the breakers and fuses that sit in a panel, or on the strings of a bank
// or an array, with their spares. Of another part there are none.
func Inside(doc *components.Document, panel components.ID) []Row {
	l := &list{doc: doc, rows: map[rowKey]*Row{}, reels: map[reelKey]*reel{}}
	if p, ok := doc.Part(panel); ok {
		l.inside(p)
	}
	return l.sorted()
}

// sorted are the rows in the order of the list.
func (l *list) sorted() []Row {
	rows := make([]Row, 0, len(l.rows))
	say := terms.Of(l.doc)
	for _, r := range l.rows {
		r.Description, r.Rating, r.Note = say.Say(r.Description), say.Say(r.Rating), say.Say(r.Note)
		slices.SortFunc(r.For, components.CompareIDs)
		r.For = slices.Compact(r.For)
		r.Plan = planOf(l.doc, *r)
		rows = append(rows, *r)
	}
	slices.SortFunc(rows, func(a, b Row) int {
		return cmp.Or(cmp.Compare(slices.Index(Sections, a.Section), slices.Index(Sections, b.Section)),
			cmp.Compare(strings.ToLower(a.Description), strings.ToLower(b.Description)),
			components.CompareIDs(components.ID(a.Rating), components.ID(b.Rating)), // 2 A before 10 A
			cmp.Compare(a.Note, b.Note), cmp.Compare(a.Unit, b.Unit), cmp.Compare(a.Price, b.Price), -cmp.Compare(b2i(a.Known), b2i(b.Known)))
	})
	return rows
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// rowKey is what rows must share to be one row.
type rowKey struct {
	section                         Section
	description, rating, unit, note string
	price                           float64
	known                           bool
}

// list is a shopping list in the making.
type list struct {
	doc   *components.Document
	rows  map[rowKey]*Row
	reels map[reelKey]*reel
}

func (l *list) add(r Row) {
	key := rowKey{r.Section, r.Description, r.Rating, r.Unit, r.Note, r.Price, r.Known}
	old, ok := l.rows[key]
	if !ok {
		l.rows[key] = &r
		return
	}
	old.Quantity += r.Quantity
	old.Net += r.Net
	old.For = append(old.For, r.For...)
}

// pieces is a row of whole things.
func pieces(s Section, n float64, description, rating string, tags ...components.ID) Row {
	return Row{Section: s, Quantity: n, Known: true, Unit: "pc", Description: description, Rating: rating, For: slices.Clone(tags)}
}

// sectionOf is where a thing of a status stands, new ones in the section given.
func sectionOf(s components.Status, bought Section) Section {
	switch s {
	case components.Existing:
		return Kept
	case components.Remove:
		return Out
	}
	return bought
}

// known prints a told value, or says that it is not known.
func known(v components.Value) string {
	if !v.Known() {
		return "not known"
	}
	return v.String()
}

// join puts words together that are there.
func join(sep string, words ...string) string {
	return strings.Join(slices.DeleteFunc(words, func(w string) bool { return w == "" }), sep)
}
