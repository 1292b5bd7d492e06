package session

import (
	"context"
	"fmt"
	"slices"

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

// Sized is what was found for what has no size.
type Sized struct {
	Choices []sizing.Choice
	Made    []Made // the constructions and families that the choices are of
}

// SizeUnsized finds, behind the session, the smallest size of everything that has
// none, as the rules of the window decide it. Where nobody has told what it is made
// of either, the usual is taken, for the rules that hold a size to what it carries
// ask for it. What is there already is not chosen but read off, so it is left out.
// An edit meanwhile makes the outcome void, and done is not called.
func (s *Session) SizeUnsized(done func(Sized, error)) {
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
		done(Sized{}, nil)
		return
	}
	go func() {
		found := Sized{Made: unmade(doc, only)}
		made := doc
		for _, m := range found.Made {
			if next, err := made.Apply(m.Edit()); err == nil {
				made = next
			}
		}
		var err error
		found.Choices, _, err = sizing.Size(context.Background(), made, book, only...)
		s.post(func() {
			if s.Doc() == doc {
				done(found, err)
			}
		})
	}()
}

// MadeOf is what a choice is made of, where that is chosen with it.
func (f Sized) MadeOf(c sizing.Choice) (Made, bool) {
	i := slices.IndexFunc(f.Made, func(m Made) bool { return m.On == c.On })
	if i < 0 {
		return Made{}, false
	}
	return f.Made[i], true
}

// Decided are the choices that a rule decides, or the run that they go with; the others
// stay open.
func (f Sized) Decided() (decided, open []sizing.Choice) {
	for _, c := range f.Choices {
		if c.To != "" && c.Changed() && (c.Decided != nil || c.Beside != "") {
			decided = append(decided, c)
		} else {
			open = append(open, c)
		}
	}
	return decided, open
}

// TakeSizes tells the sizes that were decided, and what they are made of, as one
// step.
func (s *Session) TakeSizes(found Sized) error {
	decided, _ := found.Decided()
	var edits []components.Edit
	for _, c := range decided {
		if m, ok := found.MadeOf(c); ok {
			edits = append(edits, m.Edit())
		}
		edits = append(edits, c.Edit())
	}
	label := fmt.Sprintf("Size %d runs and devices", len(decided))
	if len(decided) == 1 {
		label = fmt.Sprintf("Size %s to %s", decided[0].On, decided[0].To)
	}
	return s.Do(label, edits...)
}
