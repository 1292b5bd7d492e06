package compare

import (
	"reflect"
	"slices"

	"rigline/components"
	"rigline/export/bom"
)

// Materials are what the change needs: what is bought for it, and what comes out
// by it. Of a thing that is resized the old one comes out and the new one is
// bought; of a panel that is refitted, what sits in it alone; of a fuse whose holder
// takes the new one, the fuse alone; of conductors or blocks that become more or fewer,
// the difference; where a conductor stays and its stud changes, the lug. What stays is
// left out.
func (d Difference) Materials() ([]bom.Row, error) {
	after, before, err := d.bought()
	if err != nil {
		return nil, err
	}
	still, err := d.still()
	if err != nil {
		return nil, err
	}
	had, err := d.spares()
	if err != nil {
		return nil, err
	}
	var rows []bom.Row
	for _, r := range bom.Rows(after) {
		if r.Section == bom.Marking {
			r = d.marking(r)
		}
		if r.Section == bom.Spares && slices.ContainsFunc(had, func(o bom.Row) bool { return o.Description == r.Description && o.Rating == r.Rating }) {
			continue
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
		switch {
		case c.Sort == Refitted:
			rows = append(rows, d.refit(c.ID)...)
		case c.Sort == Resized && !c.Run:
			was, _ := d.Old.Part(c.ID)
			is, _ := d.New.Part(c.ID)
			rows = bom.HolderStays(rows, is, bom.Refused(was, is))
		}
	}
	rows = summed(append(rows, d.relugged()...))
	slices.SortStableFunc(rows, func(a, b bom.Row) int {
		return slices.Index(bom.Sections, a.Section) - slices.Index(bom.Sections, b.Section)
	})
	return rows, nil
}

// bought are the drawing of what is bought and that of what comes out, each with its
// status.
func (d Difference) bought() (after, before *components.Document, err error) {
	both, err := d.Both()
	if err != nil {
		return nil, nil, err
	}
	var buy, out []components.Edit
	for _, p := range d.Old.Parts() {
		status := components.Existing
		if s := d.sortOf(p.ID, false); s == Removed || s == Replaced || s == Resized {
			status = components.Remove
		}
		if is, ok := d.New.Part(p.ID); ok && status == components.Remove && !is.Gone() {
			more, fewer, counted := counts("parallel", p.Kind.Fields, p.Spec, is.Spec)
			if counted && more > 0 {
				status = components.Existing
				share := is.Buy
				share.Price *= more / is.Figure("parallel").Value
				buy = append(buy, components.Set{On: is.ID, Key: "parallel", Value: components.Num(more)},
					components.Describe{ID: is.ID, Name: is.Name, Status: components.New, Note: is.Note, Buy: share})
			}
			if counted && fewer > 0 {
				out = append(out, components.Set{On: p.ID, Key: "parallel", Value: components.Num(fewer)})
				buy = append(buy, components.Describe{ID: is.ID, Name: is.Name, Status: components.Existing, Note: is.Note, Buy: is.Buy})
			}
		}
		out = append(out, components.Describe{ID: p.ID, Name: p.Name, Status: status, Note: p.Note, Buy: p.Buy})
	}
	for _, r := range d.Old.Runs() {
		mark := r.Rerouted()
		mark.Status = components.Existing
		if s := d.sortOf(r.ID, true); s == Removed || s == Replaced || s == Resized {
			mark.Status = components.Remove
		}
		if is, ok := d.New.Run(r.ID); ok && mark.Status == components.Remove && !is.Gone() {
			more, fewer, counted := counts("sets", components.RunFields, r.Spec, is.Spec)
			stays := is.Rerouted()
			if counted && more > 0 {
				mark.Status, stays.Status = components.Existing, components.New
				buy = append(buy, components.Set{On: is.ID, Key: "sets", Value: components.Num(more)}, stays)
			}
			if counted && fewer > 0 {
				stays.Status = components.Existing
				out = append(out, components.Set{On: r.ID, Key: "sets", Value: components.Num(fewer)})
				buy = append(buy, stays)
			}
		}
		out = append(out, mark)
	}
	if after, err = both.Apply(buy...); err != nil {
		return nil, nil, err
	}
	before, err = d.Old.Apply(out...)
	return after, before, err
}

// counts tells how many more or fewer of a thing there are, where its number is all
// that makes it larger or smaller.
func counts(key string, fields []components.Field, was, is components.Spec) (more, fewer float64, ok bool) {
	var old, now float64
	for i := range fields {
		f := &fields[i]
		if f.Key != key {
			continue
		}
		a, _ := f.Of(was)
		b, _ := f.Of(is)
		if !a.Known() || !b.Known() {
			return 0, 0, false
		}
		old, now = a.Num(), b.Num()
	}
	if old == now || resizedBut(key, fields, was, is) {
		return 0, 0, false
	}
	return max(0, now-old), max(0, old-now), true
}

// relugged are the lugs of conductors that stay where the stud under them does not,
// or that land on another.
func (d Difference) relugged() []bom.Row {
	var rows []bom.Row
	for _, is := range d.New.Runs() {
		was, ok := presentRun(d.Old, is.ID)
		if s := d.sortOf(is.ID, true); !ok || is.Gone() || s.Bought() {
			continue
		}
		from, to := bom.EndsOf(d.New, is)
		oldFrom, oldTo := bom.EndsOf(d.Old, was)
		if was.From == is.To && was.To == is.From {
			oldFrom, oldTo = oldTo, oldFrom
		}
		var ends []bom.End
		for i, side := range [][]bom.End{from, to} {
			old := [][]bom.End{oldFrom, oldTo}[i]
			for k, e := range side {
				if k >= len(old) || old[k].What != e.What || old[k].On != e.On {
					ends = append(ends, e)
				}
			}
		}
		rows = append(rows, bom.Ends(d.New, is, ends)...)
	}
	return rows
}

// summed puts rows of the same thing together.
func summed(rows []bom.Row) []bom.Row {
	var out []bom.Row
	for _, r := range rows {
		i := slices.IndexFunc(out, func(o bom.Row) bool {
			return o.Section == r.Section && o.Description == r.Description && o.Rating == r.Rating && o.Note == r.Note && o.Unit == r.Unit && o.Known == r.Known && o.Price == r.Price
		})
		if i < 0 {
			out = append(out, r)
			continue
		}
		out[i].Quantity += r.Quantity
		out[i].For = append(slices.Clone(out[i].For), r.For...)
	}
	return out
}

// spares are the spares of the old drawing, as if all of it had been bought.
func (d Difference) spares() ([]bom.Row, error) {
	var edits []components.Edit
	for _, p := range d.Old.Parts() {
		if !p.Gone() {
			edits = append(edits, components.Describe{ID: p.ID, Name: p.Name, Status: components.New, Note: p.Note, Buy: p.Buy})
		}
	}
	doc, err := d.Old.Apply(edits...)
	if err != nil {
		return nil, err
	}
	return slices.DeleteFunc(bom.Rows(doc), func(r bom.Row) bool { return r.Section != bom.Spares }), nil
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
