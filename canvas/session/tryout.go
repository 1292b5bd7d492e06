package session

import (
	"fmt"
	"slices"
	"strings"

	"rigline/components"
	"rigline/export/scene"
	"rigline/rules"
)

// TryOut shows on the sheet what a repair would do, without doing it; nil shows
// nothing any more.
func (s *Session) TryOut(fix *rules.Fix) {
	had := s.tryout != nil
	s.tryout = nil
	if fix != nil {
		s.tryout = s.tried(*fix)
	}
	if had || s.tryout != nil {
		s.changed(PreviewChanged)
	}
}

// tried is the preview of a repair: what it adds and changes as it would lie, what
// it takes out hidden, and its edits in words.
func (s *Session) tried(fix rules.Fix) *Preview {
	next, err := s.Doc().Apply(fix.Edits...)
	if err != nil {
		return nil
	}
	s.Sheet()
	now := s.drawn
	after := patched(now, look{doc: next})
	v := &Preview{Hide: map[components.ID]bool{}, Lit: map[components.ID]bool{}, Away: map[components.ID]bool{}}
	for owner, was := range now.sums {
		is, there := after.sums[owner]
		switch {
		case owner == "":
		case !there:
			v.Away[components.ID(owner)] = true
		case is.hash != was.hash:
			v.Hide[components.ID(owner)] = true
			v.Lit[components.ID(owner)] = true
		}
	}
	for owner := range after.sums {
		if _, there := now.sums[owner]; !there {
			v.Lit[components.ID(owner)] = true
		}
	}
	for _, sh := range after.sheet.Shapes {
		if v.Lit[components.ID(ownerOf(sh.Address))] && sh.Layer != scene.MarkLayer {
			v.Shapes = append(v.Shapes, sh)
		}
	}
	var words []string
	first := true
	for _, e := range fix.Edits {
		if on, ok := target(e); ok {
			if _, here := now.sums[string(on)]; here && !v.Away[on] {
				v.Lit[on] = true
			}
			if first {
				first = !placeHint(v, after.sheet, now.sheet, on)
			}
		}
		words = append(words, s.orderOf(e))
	}
	const most = 7
	if len(words) > most {
		words = append(words[:most-1], fmt.Sprintf("and %d more", len(words)-most+1))
	}
	v.Hint = fix.Title + "\n" + strings.Join(slices.Compact(words), "\n")
	return v
}

func placeHint(v *Preview, after, now *scene.Sheet, id components.ID) bool {
	for _, sheet := range []*scene.Sheet{after, now} {
		if b, ok := sheet.Bodies[id]; ok {
			v.HintAt = b.Max
			return true
		}
		if path := sheet.Paths[id]; len(path) > 1 {
			v.HintAt = scene.Pt{X: (path[0].X + path[1].X) / 2, Y: (path[0].Y + path[1].Y) / 2}
			return true
		}
	}
	return false
}

// target is the part or run that an edit is about.
func target(e components.Edit) (components.ID, bool) {
	switch e := e.(type) {
	case components.AddPart:
		return e.Part.ID, true
	case components.RemovePart:
		return e.ID, true
	case components.MovePart:
		return e.ID, true
	case components.RenamePart:
		return e.ID, true
	case components.Set:
		return e.On, true
	case components.Describe:
		return e.ID, true
	case components.AddRun:
		return e.Run.ID, true
	case components.RemoveRun:
		return e.ID, true
	case components.Reroute:
		return e.ID, true
	}
	return "", false
}

// orderOf is an edit in the words of the details.
func (s *Session) orderOf(e components.Edit) string {
	set, ok := e.(components.Set)
	if !ok {
		return e.String()
	}
	if p, ok := s.Doc().Part(set.On); ok {
		if f, ok := p.Kind.Field(set.Key); ok {
			return setLabel(set.On, f, set.Value)
		}
	}
	if f, ok := components.RunField(set.Key); ok {
		return setLabel(set.On, f, set.Value)
	}
	return e.String()
}
