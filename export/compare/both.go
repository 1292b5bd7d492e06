package compare

import (
	"slices"

	"rigline/components"
	"rigline/export/lists"
	"rigline/export/scene"
)

func (d Difference) sortOf(id components.ID, run bool) Sort {
	for _, c := range d.Changes {
		if c.ID == id && c.Run == run {
			return c.Sort
		}
	}
	return ""
}

// Both is one drawing of the two: what is added, replaced or resized is new, what
// comes out is crossed, the rest is existing. A part that comes out keeps its place
// unless another stands there now; then it is drawn beside.
func (d Difference) Both() (*components.Document, error) {
	var edits []components.Edit
	var taken []components.Box
	for _, p := range d.New.Parts() {
		taken = append(taken, placed(p))
		status := components.New
		switch d.sortOf(p.ID, false) {
		case "", Redrawn, Refitted, Changed, Moved:
			status = components.Existing
		}
		if p.Gone() {
			status = components.Remove
		}
		edits = append(edits, components.Describe{ID: p.ID, Name: p.Name, Status: status, Note: p.Note, Buy: p.Buy})
	}
	for _, r := range d.New.Runs() {
		mark := r.Rerouted()
		mark.Status = components.New
		switch d.sortOf(r.ID, true) {
		case "", Redrawn, Refitted, Changed, Moved:
			mark.Status = components.Existing
		}
		if r.Gone() {
			mark.Status = components.Remove
		}
		edits = append(edits, mark)
	}
	drawn := map[components.ID]bool{}
	for _, p := range d.Old.Parts() {
		if _, ok := d.New.Part(p.ID); ok || p.Gone() {
			continue
		}
		if _, ok := d.New.Run(p.ID); ok {
			continue // the tag belongs to a run now
		}
		p.Status = components.Remove
		p.At = free(p, taken)
		taken = append(taken, placed(p))
		drawn[p.ID] = true
		edits = append(edits, components.AddPart{Part: p})
	}
	for _, r := range d.Old.Runs() {
		if _, ok := d.New.Run(r.ID); ok || r.Gone() || drawn[r.ID] {
			continue
		}
		if _, ok := d.New.Part(r.ID); ok {
			continue
		}
		if !d.lands(r.From, drawn) || !d.lands(r.To, drawn) {
			continue // its port is no more; it stands on the list
		}
		r.Status, r.Path = components.Remove, nil
		edits = append(edits, components.AddRun{Run: r})
	}
	return d.New.Apply(edits...)
}

// lands tells whether a run of the old drawing can still be drawn to a port.
func (d Difference) lands(at components.PortRef, drawn map[components.ID]bool) bool {
	if drawn[at.Part] {
		return true
	}
	was, port, ok := d.Old.Port(at)
	is, now, still := d.New.Port(at)
	return ok && still && was.Kind == is.Kind && slices.Equal(port.Poles, now.Poles)
}

// placed is the room of a part on the sheet, with its tag.
func placed(p components.Part) components.Box {
	b := p.Kind.Symbol(p.Spec).Body
	a, z := b.Min.Turned(p.Turn).Add(p.At), b.Max.Turned(p.Turn).Add(p.At)
	const around = 20
	return components.Box{Min: components.Point{X: min(a.X, z.X) - around, Y: min(a.Y, z.Y) - around}, Max: components.Point{X: max(a.X, z.X) + around, Y: max(a.Y, z.Y) + around}}
}

// free is the nearest place to a part's own that nothing else takes, searched on
// rings of three modules.
func free(p components.Part, taken []components.Box) components.Point {
	home := p.At
	clear := func(at components.Point) bool {
		q := p
		q.At = at
		b := placed(q)
		return !slices.ContainsFunc(taken, func(o components.Box) bool {
			return b.Min.X < o.Max.X && o.Min.X < b.Max.X && b.Min.Y < o.Max.Y && o.Min.Y < b.Max.Y
		})
	}
	const step = 3 * components.Module
	for ring := 0; ring < 100; ring++ {
		for dy := -ring; dy <= ring; dy++ {
			for dx := -ring; dx <= ring; dx++ {
				if max(dx, -dx, dy, -dy) != ring {
					continue
				}
				if at := (components.Point{X: home.X + dx*step, Y: home.Y + dy*step}); clear(at) {
					return at
				}
			}
		}
	}
	return home
}

var plates = map[Sort]scene.Mark{
	Added:    {Level: scene.AdviceMark, Letters: "NEW"},
	Removed:  {Level: scene.UncheckedMark, Letters: "OUT"},
	Replaced: {Level: scene.ViolationMark, Letters: "OTHER"},
	Resized:  {Level: scene.ViolationMark, Letters: "SIZE"},
	Refitted: {Level: scene.ViolationMark, Letters: "INSIDE"},
	Changed:  {Level: scene.ViolationMark, Letters: "CHANGED"},
	Moved:    {Level: scene.AdviceMark, Letters: "MOVED"},
}

// Sheet draws both, with a plate at each thing that changed.
func (d Difference) Sheet(meta scene.Meta) (*scene.Sheet, error) {
	both, err := d.Both()
	if err != nil {
		return nil, err
	}
	var marks []scene.Mark
	for _, c := range d.Changes {
		m, ok := plates[c.Sort]
		if !ok {
			continue
		}
		m.Address, m.Text = string(c.ID), c.What
		marks = append(marks, m)
	}
	return scene.Draw(both, scene.Options{Frame: true, Meta: meta, Marks: marks}), nil
}

// Table is the list of changes.
func (d Difference) Table() lists.Table {
	t := lists.Table{Name: "changes", Title: "Changes", Head: []string{"change", "tag", "part or run", "what", "from what to what"}}
	for _, c := range d.Changes {
		kind := "part"
		if c.Run {
			kind = "run"
		}
		details := ""
		for i, x := range c.Details {
			if i > 0 {
				details += "; "
			}
			details += x
		}
		t.Add(string(c.Sort), string(c.ID), kind, c.What, details)
	}
	return t
}
