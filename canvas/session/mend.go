package session

import (
	"context"
	"fmt"
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/mending"
)

// RepairEach carries out, at each of several places that one rule speaks of, the first
// repair that clears the finding and raises no new danger, as one step; what stood
// behind the rule there is repaired with it. It works behind the session; where the rig
// has changed when it is done, nothing is repaired.
func (s *Session) RepairEach(places []rules.Finding) {
	report, current := s.Report()
	if !current || len(places) == 0 {
		return
	}
	rule, wanted := places[0].Rule, map[string]bool{}
	for _, f := range places {
		wanted[f.At] = true
	}
	doc := s.Doc()
	bench := &mending.Bench{Book: s.book, Doc: doc, Report: report, Wanted: func(f rules.Finding) bool {
		return (f.Rule == rule || slices.Contains(rule.Explains, f.Rule.ID)) && f.Accepted == nil && wanted[f.At]
	}}
	s.Tell(Plain, "Repairing %d places", len(wanted))
	go func() {
		done, err := bench.Work(context.Background())
		s.post(func() { s.mended(doc, rule, len(wanted), done, err) })
	}()
}

// mended takes what repairing at several places came to.
func (s *Session) mended(doc *components.Document, rule *rules.Rule, places int, done []mending.Done, err error) {
	switch {
	case err != nil:
		s.Tell(Wrong, "Nothing was repaired: %v", err)
		return
	case s.Doc() != doc:
		s.Tell(Wrong, "The rig has changed meanwhile: nothing was repaired")
		return
	case len(done) == 0:
		s.Tell(Wrong, "None of these repairs does by itself: take them one by one")
		return
	}
	var edits []components.Edit
	served := map[string]bool{}
	for _, d := range done {
		edits = append(edits, d.Fix.Edits...)
		served[d.Of.At] = true
	}
	if s.Do(fmt.Sprintf("Repair %d places: %s", len(served), rule.Title), edits...) != nil {
		return
	}
	if left := places - len(served); left > 0 {
		s.Tell(Plain, "Repaired %d of %d places; the rest is for you to decide", len(served), places)
		return
	}
	s.Tell(Plain, "Repaired %d places. Undo takes all of it back", len(served))
}
