package session

import (
	"context"
	"fmt"

	"rigline/components"
	"rigline/rules/sizing"
)

// Unsized are the runs that have no size and the devices that have no rating of
// their own, apart from what is to be removed.
func (s *Session) Unsized() (ids []components.ID) {
	for _, p := range s.Doc().Parts() {
		if p.Kind.Role == components.Protects && !p.Gone() && !p.Figure("rating_a").Known() {
			if _, has := p.Kind.Field("rating_a"); has {
				ids = append(ids, p.ID)
			}
		}
	}
	for _, r := range s.Doc().Runs() {
		if _, told := r.Size(""); !told && !r.Gone() {
			ids = append(ids, r.ID)
		}
	}
	return ids
}

// SizeUnsized finds, behind the session, the smallest size of everything that has
// none, as the rules of the window decide it. What is there already is not chosen
// but read off, so it is left out. An edit meanwhile makes the outcome void, and
// done is not called.
func (s *Session) SizeUnsized(done func([]sizing.Choice, error)) {
	doc, book := s.Doc(), s.book
	var only []components.ID
	for _, id := range s.Unsized() {
		p, _ := doc.Part(id)
		r, _ := doc.Run(id)
		if p.Status != components.Existing && r.Status != components.Existing {
			only = append(only, id)
		}
	}
	if len(only) == 0 {
		done(nil, nil)
		return
	}
	go func() {
		found, _, err := sizing.Size(context.Background(), doc, book, only...)
		s.post(func() {
			if s.Doc() == doc {
				done(found, err)
			}
		})
	}()
}

// Decided are the choices that a rule decides; the others stay open.
func Decided(found []sizing.Choice) (decided, open []sizing.Choice) {
	for _, c := range found {
		if c.To != "" && c.Changed() && c.Decided != nil {
			decided = append(decided, c)
		} else {
			open = append(open, c)
		}
	}
	return decided, open
}

// TakeSizes tells the sizes that were found, as one step.
func (s *Session) TakeSizes(decided []sizing.Choice) error {
	edits := make([]components.Edit, len(decided))
	for i, c := range decided {
		edits[i] = c.Edit()
	}
	label := fmt.Sprintf("Size %d runs and devices", len(decided))
	if len(decided) == 1 {
		label = fmt.Sprintf("Size %s to %s", decided[0].On, decided[0].To)
	}
	return s.Do(label, edits...)
}
