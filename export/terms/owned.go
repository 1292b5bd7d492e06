package terms

import (
	"strings"

	"rigline/components"
)

// owned are the words that the rig's owner wrote: names, labels, notes, colours and
// the like. No vocabulary changes them.
func owned(doc *components.Document) []string {
	seen := map[string]bool{}
	var all []string
	put := func(texts ...string) {
		for _, t := range texts {
			if t = strings.TrimSpace(t); t != "" && !seen[t] {
				seen[t] = true
				all = append(all, t)
			}
		}
	}
	put(doc.Title, doc.Rig.About, doc.Rig.DrawnBy, doc.Rig.CheckedBy)
	for _, st := range doc.States {
		put(st.Name)
	}
	for _, r := range doc.Revisions {
		put(r.What, r.By)
	}
	for _, n := range doc.Notes {
		put(n.Text)
	}
	for _, a := range doc.Accepted {
		put(a.Reason, a.By)
	}
	for _, r := range doc.Readings {
		put(r.By, r.Note)
	}
	for _, p := range doc.Parts() {
		put(p.Name, p.Note, p.Buy.Description, p.Buy.Supplier, p.Buy.PartNo)
		for _, f := range p.Kind.Fields {
			if f.Type == components.Text {
				put(p.Spec[f.Key].Str())
			}
			if f.Type == components.Rows {
				for _, row := range p.Spec[f.Key].Rows() {
					put(row["label"].Str())
				}
			}
		}
	}
	for _, r := range doc.Runs() {
		put(r.Note, r.Spec["color"].Str())
	}
	return all
}
