package session

import (
	"rigline/components"
	"rigline/export/terms"
)

// words are those of the rule set of one document.
type words struct {
	of *components.Document
	terms.Terms
}

// Say puts a text of the program's into the words of the rig's rule set, which a
// hand-off is written in too: a 230 V caravan has a mains hook-up and a line where a
// North American vehicle has shore power and a hot. What the owner wrote stays.
func (s *Session) Say(text string) string {
	if doc := s.Doc(); s.words.of != doc {
		s.words = words{doc, terms.Of(doc)}
	}
	return s.words.Say(text)
}
