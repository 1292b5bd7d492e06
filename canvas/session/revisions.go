package session

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"rigline/components"
)

// AddRevision adds an issue of the drawing, with the next letter and today's date,
// and names it in the title block.
func (s *Session) AddRevision() error {
	all := s.Doc().Revisions
	last := s.Doc().Rig.Revision
	if n := len(all); n > 0 {
		last = all[n-1].Letter
	}
	next := components.Revision{Letter: nextLetter(last), Date: time.Now().Format(time.DateOnly), By: s.Doc().Rig.DrawnBy}
	e := s.Doc().Project()
	e.Rig.Revision, e.Rig.Date = next.Letter, next.Date
	return s.Do("Add revision "+next.Letter, components.SetRevisions{Revisions: append(slices.Clone(all), next)}, e)
}

// SetRevision changes one issue. The last one's letter and date stand in the title
// block.
func (s *Session) SetRevision(i int, r components.Revision) error {
	all := slices.Clone(s.Doc().Revisions)
	if i < 0 || i >= len(all) {
		return fmt.Errorf("there is no revision %d", i+1)
	}
	if all[i] == r {
		return nil
	}
	all[i] = r
	edits := []components.Edit{components.SetRevisions{Revisions: all}}
	if i == len(all)-1 {
		e := s.Doc().Project()
		if e.Rig.Revision != r.Letter || e.Rig.Date != r.Date {
			e.Rig.Revision, e.Rig.Date = r.Letter, r.Date
			edits = append(edits, e)
		}
	}
	return s.Do("Change revision "+r.Letter, edits...)
}

// RemoveRevision takes an issue out of the table.
func (s *Session) RemoveRevision(i int) error {
	all := s.Doc().Revisions
	if i < 0 || i >= len(all) {
		return fmt.Errorf("there is no revision %d", i+1)
	}
	letter := all[i].Letter
	return s.Do("Remove revision "+letter, components.SetRevisions{Revisions: slices.Delete(slices.Clone(all), i, i+1)})
}

// nextLetter follows A to Z without I and O, which are read as figures, then AA
// (ASME Y14.35, from memory); after a number comes the next number.
func nextLetter(last string) string {
	const letters = "ABCDEFGHJKLMNPQRSTUVWXYZ"
	last = strings.ToUpper(strings.TrimSpace(last))
	if last == "" {
		return "A"
	}
	var n int
	if _, err := fmt.Sscanf(last, "%d", &n); err == nil {
		return fmt.Sprint(n + 1)
	}
	b := []byte(last)
	for k := len(b) - 1; k >= 0; k-- {
		at := strings.IndexByte(letters, b[k])
		switch {
		case at < 0:
			return last + "A"
		case at < len(letters)-1:
			b[k] = letters[at+1]
			return string(b)
		}
		b[k] = letters[0]
	}
	return "A" + string(b)
}
