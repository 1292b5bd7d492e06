package rules

import (
	"cmp"
	"slices"
	"strings"

	"rigline/components"
)

// Question is a figure that is not told, and what hangs on it.
type Question struct {
	Asks    string   // "the length of W3"
	At      string   // where to tell it
	Message string   // of the worst check that wants it: why, and how to find it
	Level   Level    // the worst that the answer could uncover
	Rules   []string // the checks that wait for it
}

// Questions are the figures that are not told, those first whose answer could
// uncover the worst, then those that most checks wait for.
func (r *Report) Questions() []Question {
	byAsks := map[string]int{}
	var all []Question
	for _, f := range r.Unchecked {
		asks := subject(f.Message)
		i, ok := byAsks[asks]
		if !ok {
			i = len(all)
			byAsks[asks] = i
			all = append(all, Question{Asks: asks, At: f.At, Message: f.Message, Level: f.Level})
		}
		q := &all[i]
		if f.Level > q.Level {
			q.Level, q.Message, q.At = f.Level, f.Message, f.At
		}
		if !slices.Contains(q.Rules, f.Rule.ID) {
			q.Rules = append(q.Rules, f.Rule.ID)
		}
	}
	slices.SortStableFunc(all, func(a, b Question) int {
		return cmp.Or(cmp.Compare(b.Level, a.Level), cmp.Compare(len(b.Rules), len(a.Rules)),
			components.CompareIDs(components.ID(a.At), components.ID(b.At)))
	})
	return all
}

// subject is what a message says is not known: its first clause, without the
// place along a run that different checks name differently.
func subject(message string) string {
	for _, stop := range []string{" is not ", " are not ", " is unknown", ", ", ": "} {
		if head, _, ok := strings.Cut(message, stop); ok {
			message = head
		}
	}
	return message
}

// rank puts what could not be checked in the order of the questions.
func (r *Report) rank() {
	place := map[string]int{}
	for i, q := range r.Questions() {
		place[q.Asks] = i
	}
	slices.SortStableFunc(r.Unchecked, func(a, b Finding) int {
		return cmp.Compare(place[subject(a.Message)], place[subject(b.Message)])
	})
}
