package schedule

import (
	"fmt"
	"strings"

	"rigline/components"
	"rigline/export/lists"
	"rigline/export/solved"
	"rigline/export/terms"
)

// Removed is one thing that comes out, and what is left hanging.
type Removed struct {
	ID   components.ID
	What string // "Charger, 55 A, 12.8 V DC"
	Name string
	Do   []string // what to do, in this order
	Note string
}

// Removals lists the parts and runs that come out: parts with what hangs on them
// first, then runs that lie between parts that stay.
func Removals(rig *solved.Rig) []Removed {
	doc := rig.Doc
	var all []Removed
	for _, p := range doc.Parts() {
		if !p.Gone() {
			continue
		}
		what := p.Kind.Title
		if r := p.Kind.Rating(p.Spec); r != "" {
			what += ", " + r
		}
		x := Removed{ID: p.ID, What: what, Name: p.Name, Note: p.Note, Do: []string{"switch off every source and show it dead"}}
		for _, r := range doc.RunsOf(p.ID) {
			here, far := r.From, r.To
			if r.To.Part == p.ID {
				here, far = r.To, r.From
			}
			if r.Gone() {
				x.Do = append(x.Do, fmt.Sprintf("disconnect %s at %s and at %s and take it out", r.ID, here, far))
				continue
			}
			x.Do = append(x.Do, fmt.Sprintf("disconnect %s at %s; it stays at %s: land it anew or cap and label its end", r.ID, here, far))
		}
		x.Do = append(x.Do, "take it out; blank what its holes leave open")
		all = append(all, x)
	}
	for _, r := range doc.Runs() {
		from, okF := doc.Part(r.From.Part)
		to, okT := doc.Part(r.To.Part)
		if !r.Gone() || okF && from.Gone() || okT && to.Gone() {
			continue
		}
		x := Removed{ID: r.ID, What: "Run", Note: r.Note}
		if c, ok := r.Cable(); ok {
			x.What += ", " + c.Title
		}
		if s, ok := r.Size(components.L); ok {
			x.What += ", " + s.String()
		}
		x.Do = []string{fmt.Sprintf("disconnect it at %s and at %s and take it out", r.From, r.To), "where it cannot be drawn: cap and label both ends as dead"}
		all = append(all, x)
	}
	return all
}

// RemovalTable is what comes out as a table, with a place for the tick.
func RemovalTable(rig *solved.Rig) lists.Table {
	t := lists.Table{Name: "removal", Title: "What comes out", None: "nothing comes out", Head: []string{"tag", "what", "name", "do", "done", "note"}}
	for _, x := range Removals(rig) {
		t.Add(string(x.ID), x.What, x.Name, strings.Join(x.Do, "; "), "", x.Note)
	}
	return terms.Of(rig.Doc).Table(t)
}
