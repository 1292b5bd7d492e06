package session

import (
	"testing"

	"rigline/projects"
)

func BenchmarkTidy(b *testing.B) {
	s, _ := projects.FindSample("library-bus")
	doc := s.Document()
	for b.Loop() {
		tidyEdits(doc)
	}
}
