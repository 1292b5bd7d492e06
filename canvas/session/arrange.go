package session

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"rigline/components"
	"rigline/projects"
)

// Delete takes the selected parts and runs out, and with a part its runs.
func (s *Session) Delete() {
	edits := s.Doc().Delete(s.selected...)
	parts, runs := 0, 0
	for _, e := range edits {
		if _, ok := e.(components.RemovePart); ok {
			parts++
		} else {
			runs++
		}
	}
	notes := s.notesLeft()
	marks := len(s.Doc().Notes) - len(notes)
	if marks > 0 {
		edits = append(edits, components.SetNotes{Notes: notes})
	}
	label := "Delete "
	switch {
	case marks > 0 && parts+runs == 0:
		label += count(marks, "mark-up")
	case len(s.selected) == 1 && parts == 1 && runs > 0:
		label += fmt.Sprintf("%s and %s", s.selected[0], count(runs, "run"))
	case len(s.selected) == 1:
		label += string(s.selected[0])
	case parts == 0:
		label += count(runs, "run")
	case runs == 0:
		label += count(parts, "part")
	default:
		label += count(parts, "part") + " and " + count(runs, "run")
	}
	_ = s.Do(label, edits...)
}

// notesLeft are the mark-ups that are not selected.
func (s *Session) notesLeft() []components.Note {
	var left []components.Note
	for i, n := range s.Doc().Notes {
		if !s.IsSelected(noteID(i)) {
			left = append(left, n)
		}
	}
	return left
}

func count(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}

// Turn turns the selected parts clockwise by a quarter, each about its centre.
func (s *Session) Turn() {
	parts := s.SelectedParts()
	var edits []components.Edit
	for _, p := range parts {
		edits = append(edits, components.MovePart{ID: p.ID, At: p.At, Turn: p.Turn + 90})
	}
	if len(edits) > 0 {
		_ = s.Do("Turn "+namesOf(parts), edits...)
	}
}

// Nudge moves the selected parts by whole modules.
func (s *Session) Nudge(dx, dy int) {
	s.MoveBy(components.Point{X: dx * components.Module, Y: dy * components.Module})
}

// Edge is what Align lines up by.
type Edge int

// The edges and middles.
const (
	Lefts Edge = iota
	Middles
	Rights
	Tops
	Centres
	Bottoms
)

// Align lines the selected parts up with the outermost of them. Centres lie on the
// grid, so middles line up exactly and edges to the nearest module.
func (s *Session) Align(e Edge) {
	parts := s.SelectedParts()
	if len(parts) < 2 {
		s.Tell(Plain, "Select two parts or more to line them up")
		return
	}
	sheet := s.Sheet()
	value := func(p components.Part) float64 {
		b := sheet.Bodies[p.ID]
		switch e {
		case Lefts:
			return b.Min.X
		case Rights:
			return b.Max.X
		case Tops:
			return b.Min.Y
		case Bottoms:
			return b.Max.Y
		case Middles:
			return float64(p.At.X)
		}
		return float64(p.At.Y)
	}
	order := func(a, b components.Part) int { return cmp.Compare(value(a), value(b)) }
	lead := slices.MinFunc(parts, order)
	if e == Rights || e == Bottoms {
		lead = slices.MaxFunc(parts, order)
	}
	by := map[components.ID]components.Point{}
	for _, p := range parts {
		d := value(lead) - value(p)
		var at components.Point
		if e == Lefts || e == Rights || e == Middles {
			at = onGrid(pt(components.Point{X: p.At.X + int(d), Y: p.At.Y}))
		} else {
			at = onGrid(pt(components.Point{X: p.At.X, Y: p.At.Y + int(d)}))
		}
		if at != p.At {
			by[p.ID] = components.Point{X: at.X - p.At.X, Y: at.Y - p.At.Y}
		}
	}
	_ = s.Do("Align "+namesOf(parts), s.moveParts(by)...)
}

// Distribute spaces three parts or more evenly, from the first to the last, across
// or down.
func (s *Session) Distribute(across bool) {
	parts := s.SelectedParts()
	if len(parts) < 3 {
		s.Tell(Plain, "Select three parts or more to space them evenly")
		return
	}
	key := func(p components.Part) int {
		if across {
			return p.At.X
		}
		return p.At.Y
	}
	slices.SortFunc(parts, func(a, b components.Part) int {
		return cmp.Or(cmp.Compare(key(a), key(b)), components.CompareIDs(a.ID, b.ID))
	})
	first, last := key(parts[0]), key(parts[len(parts)-1])
	by := map[components.ID]components.Point{}
	for i, p := range parts {
		to := first + (last-first)*i/(len(parts)-1)
		at := p.At
		if across {
			at.X = to
		} else {
			at.Y = to
		}
		at = onGrid(pt(at))
		if at != p.At {
			by[p.ID] = components.Point{X: at.X - p.At.X, Y: at.Y - p.At.Y}
		}
	}
	_ = s.Do("Space "+namesOf(parts)+" evenly", s.moveParts(by)...)
}

// Copy gives the selected parts, and the runs between them, as a project file. It
// is "" where no part is selected.
func (s *Session) Copy() string {
	parts := s.SelectedParts()
	if len(parts) == 0 {
		return ""
	}
	doc := components.NewDocument("Copied parts")
	var edits []components.Edit
	for _, p := range parts {
		edits = append(edits, components.AddPart{Part: p})
	}
	for _, r := range s.Doc().Runs() {
		if s.IsSelected(r.From.Part) && s.IsSelected(r.To.Part) {
			edits = append(edits, components.AddRun{Run: r})
		}
	}
	doc, err := doc.Apply(edits...)
	if err != nil {
		s.Tell(Wrong, "Copy: %v", err)
		return ""
	}
	s.Tell(Plain, "Copied %s", namesOf(parts))
	return string(projects.Write(doc))
}

// Paste adds the parts and runs of a project file, with tags of their own, a few
// modules from where they were.
func (s *Session) Paste(text string) {
	doc, _, err := projects.Read("copied", []byte(text))
	if err != nil {
		s.Tell(Wrong, "What was copied is not a piece of a project")
		return
	}
	s.insert("Paste", doc)
}

// Duplicate adds a copy of the selected parts and the runs between them.
func (s *Session) Duplicate() {
	if text := s.Copy(); text != "" {
		doc, _, err := projects.Read("copied", []byte(text))
		if err != nil {
			s.Tell(Wrong, "Duplicate: %v", err)
			return
		}
		s.insert("Duplicate", doc)
	}
}

func (s *Session) insert(verb string, doc *components.Document) {
	if len(doc.Parts()) == 0 {
		s.Tell(Wrong, "There is no part to add in what was copied")
		return
	}
	by := s.roomFor(doc)
	now := s.Doc()
	renamed := map[components.ID]components.ID{}
	var used []components.ID
	fresh := func(prefix string) components.ID {
		id := freeAfter(now, prefix, used...)
		used = append(used, id)
		return id
	}
	var edits []components.Edit
	for _, p := range doc.Parts() {
		id := fresh(p.Kind.Prefix)
		renamed[p.ID] = id
		p.ID, p.At = id, p.At.Add(by)
		edits = append(edits, components.AddPart{Part: p})
	}
	for _, r := range doc.Runs() {
		r.ID = fresh("W")
		r.From.Part, r.To.Part = renamed[r.From.Part], renamed[r.To.Part]
		path := make([]components.Point, len(r.Path))
		for i, q := range r.Path {
			path[i] = q.Add(by)
		}
		if r.Path != nil {
			r.Path = path
		}
		edits = append(edits, components.AddRun{Run: r})
	}
	parts := doc.Parts()
	label := verb + " " + namesOf(parts)
	if s.Do(label, edits...) == nil {
		s.Select(used...)
		s.Tell(Plain, "Added %s", namesOf(s.SelectedParts()))
	}
}

// roomFor is how far a piece is moved from where it was: to the nearest place in line
// with it where nothing lies under it, to the right before below, or else aslant.
func (s *Session) roomFor(doc *components.Document) components.Point {
	const step, reach, most = 4 * components.Module, 30, 20_000_000
	const aslant = 5 // steps farther in line are better than out of it
	first := components.Point{X: step, Y: step}
	var here, piece []components.Box
	for _, p := range s.Doc().Parts() {
		here = append(here, roomOf(p))
	}
	for _, p := range doc.Parts() {
		piece = append(piece, roomOf(p))
	}
	if len(here)*len(piece)*reach*reach > most {
		for s.occupied(doc, first) {
			first = first.Add(components.Point{X: step, Y: step})
		}
		return first
	}
	free := func(by components.Point) bool {
		for _, b := range piece {
			b.Min, b.Max = b.Min.Add(by), b.Max.Add(by)
			for _, q := range here {
				if b.Min.X < q.Max.X && b.Max.X > q.Min.X && b.Min.Y < q.Max.Y && b.Max.Y > q.Min.Y {
					return false
				}
			}
		}
		return true
	}
	best, far := first, math.Inf(1)
	for i := -reach / 2; i <= reach; i++ {
		for j := -reach / 2; j <= reach; j++ {
			by := components.Point{X: i * step, Y: j * step}
			d := math.Hypot(float64(i), float64(j))
			switch {
			case i > 0 && j == 0:
			case i == 0 && j > 0:
				d += 0.5
			default:
				d += aslant
			}
			if d < far && free(by) {
				best, far = by, d
			}
		}
	}
	if math.IsInf(far, 1) {
		for s.occupied(doc, best) {
			best = best.Add(components.Point{X: step, Y: step})
		}
	}
	return best
}

// roomOf is the area of a part with its words about it.
func roomOf(p components.Part) components.Box {
	const rim = 2 * components.Module
	b := bodyOf(p)
	return components.Box{Min: p.At.Add(b.Min).Add(components.Point{X: -rim, Y: -rim}), Max: p.At.Add(b.Max).Add(components.Point{X: rim, Y: rim})}
}

// occupied tells whether a piece moved by so much would lie exactly on parts.
func (s *Session) occupied(doc *components.Document, by components.Point) bool {
	for _, p := range doc.Parts() {
		for _, q := range s.Doc().Parts() {
			if q.At == p.At.Add(by) {
				return true
			}
		}
	}
	return false
}

// Step selects the next part in tag order, or the one before.
func (s *Session) Step(by int) {
	parts := s.Doc().Parts()
	if len(parts) == 0 {
		return
	}
	i := -1
	if by < 0 {
		i = 0
	}
	if sel := s.SelectedParts(); len(sel) > 0 {
		i = slices.IndexFunc(parts, func(p components.Part) bool { return p.ID == sel[0].ID })
	}
	s.GoTo(string(parts[(i+by+len(parts))%len(parts)].ID))
}

// Straighten takes the bend points that a person placed out of the selected runs.
func (s *Session) Straighten() {
	var edits []components.Edit
	for _, r := range s.SelectedRuns() {
		if len(r.Path) > 0 {
			e := r.Rerouted()
			e.Path = nil
			edits = append(edits, e)
		}
	}
	if len(edits) == 0 {
		s.Tell(Plain, "No selected run has bends of its own")
		return
	}
	_ = s.Do("Straighten "+count(len(edits), "run"), edits...)
}
