package compare

import (
	"reflect"
	"slices"

	"rigline/components"
	"rigline/export/bom"
)

// Materials are what the change needs: what is bought for it, and what comes out
// by it. Of a thing that is resized the old one comes out and the new one is
// bought; of a panel that is refitted, what sits in it alone. What stays is left
// out.
func (d Difference) Materials() ([]bom.Row, error) {
	both, err := d.Both()
	if err != nil {
		return nil, err
	}
	var edits []components.Edit
	for _, p := range d.Old.Parts() {
		status := components.Existing
		if s := d.sortOf(p.ID, false); s == Removed || s == Replaced || s == Resized {
			status = components.Remove
		}
		edits = append(edits, components.Describe{ID: p.ID, Name: p.Name, Status: status, Note: p.Note, Buy: p.Buy})
	}
	for _, r := range d.Old.Runs() {
		mark := r.Rerouted()
		mark.Status = components.Existing
		if s := d.sortOf(r.ID, true); s == Removed || s == Replaced || s == Resized {
			mark.Status = components.Remove
		}
		edits = append(edits, mark)
	}
	before, err := d.Old.Apply(edits...)
	if err != nil {
		return nil, err
	}
	still, err := d.still()
	if err != nil {
		return nil, err
	}
	var rows []bom.Row
	for _, r := range bom.Rows(both) {
		if r.Section == bom.Marking {
			r = d.marking(r)
		}
		if r.Section.Bought() && r.Quantity > 0 && !slices.ContainsFunc(still, func(o bom.Row) bool { return reflect.DeepEqual(o, r) }) {
			rows = append(rows, r)
		}
	}
	for _, r := range bom.Rows(before) {
		if r.Section == bom.Out {
			rows = append(rows, r)
		}
	}
	for _, c := range d.Changes {
		if c.Sort == Refitted {
			rows = append(rows, d.refit(c.ID)...)
		}
	}
	slices.SortStableFunc(rows, func(a, b bom.Row) int {
		return slices.Index(bom.Sections, a.Section) - slices.Index(bom.Sections, b.Section)
	})
	return rows, nil
}

// refit is what a panel holds now and did not, and what it held and does no more. A
// spare that is needed no longer is nothing to do.
func (d Difference) refit(panel components.ID) []bom.Row {
	was, is := bom.Inside(d.Old, panel), bom.Inside(d.New, panel)
	rows := more(is, was)
	for _, r := range more(was, is) {
		if r.Section != bom.Spares {
			r.Section = bom.Out
			rows = append(rows, r)
		}
	}
	return rows
}

// more are the rows of one list beyond those of another.
func more(of, than []bom.Row) []bom.Row {
	var out []bom.Row
	for _, r := range of {
		for _, o := range than {
			if o.Section == r.Section && o.Description == r.Description && o.Rating == r.Rating {
				r.Quantity -= o.Quantity
			}
		}
		if r.Quantity > 0 {
			out = append(out, r)
		}
	}
	return out
}

// still are the rows of the new drawing as if all of it were there: what the list
// would ask for without any change.
func (d Difference) still() ([]bom.Row, error) {
	var edits []components.Edit
	for _, p := range d.New.Parts() {
		edits = append(edits, components.Describe{ID: p.ID, Name: p.Name, Status: components.Existing, Note: p.Note, Buy: p.Buy})
	}
	for _, r := range d.New.Runs() {
		mark := r.Rerouted()
		mark.Status = components.Existing
		edits = append(edits, mark)
	}
	doc, err := d.New.Apply(edits...)
	if err != nil {
		return nil, err
	}
	return bom.Rows(doc), nil
}

// marking leaves the labels of what is bought and of what lands elsewhere now.
func (d Difference) marking(r bom.Row) bom.Row {
	var now []components.ID
	for _, id := range r.For {
		part, run := d.sortOf(id, false), d.sortOf(id, true)
		if part.Bought() || run.Bought() || run == Moved {
			now = append(now, id)
		}
	}
	if len(r.For) > 0 {
		r.Quantity = r.Quantity / float64(len(r.For)) * float64(len(now))
	}
	r.For = now
	return r
}
