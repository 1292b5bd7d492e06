package session

import (
	"slices"

	"rigline/rules"
)

// StepFinding goes to the next open finding, or the one before, and shows its
// place; behind the findings come the figures that checks lack. Where the check
// still runs it goes on as soon as that is done.
func (s *Session) StepFinding(by int) {
	report, current := s.Report()
	if !current && s.checks.failed == "" && len(s.Doc().Parts()) > 0 {
		s.step = by
		return
	}
	if !current {
		s.Tell(Plain, "There is no finding to go to")
		return
	}
	open, lacks := openFindings(report), s.Lacks()
	n := len(open) + len(lacks)
	if n == 0 {
		s.Tell(Plain, "There is no finding to go to")
		return
	}
	at := s.stepFrom(report, open, lacks, by)
	at = ((at+by)%n + n) % n
	if k := at - len(open); k >= 0 {
		s.GoToLack(lacks[k])
		s.Tell(Plain, "%s", lacks[k].Says)
		return
	}
	s.GoTo(report.Findings[open[at]].At)
	s.ShowFinding(open[at] + 1)
}

// goOn carries out what waited for the check: figures that were asked for, and a step.
func (s *Session) goOn() {
	s.tellFacts()
	if _, current := s.Report(); s.step != 0 && (current || s.checks.failed != "") {
		by := s.step
		s.step = 0
		s.StepFinding(by)
	}
}

// openFindings are the places in a report of the findings that stand open.
func openFindings(report *rules.Report) (open []int) {
	for i, f := range report.Findings {
		if f.Accepted == nil {
			open = append(open, i)
		}
	}
	return open
}

// stepFrom is where the person is among the open findings and the missing figures.
// What was put right or told meanwhile has left its place: that is then between two
// others, and the step leads to one of them, so that none is left out.
func (s *Session) stepFrom(report *rules.Report, open []int, lacks []Lack, by int) int {
	gone := func(next int) int { // the place before the next, or behind the one before
		if by > 0 {
			return next - 1
		}
		return next
	}
	switch {
	case s.missed.On != "":
		for i, l := range lacks {
			if c := l.compare(s.missed); c == 0 {
				return len(open) + i
			} else if c > 0 {
				return len(open) + gone(i)
			}
		}
		return len(open) + gone(len(lacks))
	case s.wanted == 0:
		return gone(0)
	}
	for i, k := range open {
		if f := report.Findings[k]; f.Rule == s.found.Rule && f.At == s.found.At && slices.Equal(f.Also, s.found.Also) {
			return i
		}
	}
	i, _ := slices.BinarySearch(open, s.wanted-1)
	return gone(i)
}

// Missed is the missing figure that was gone to last; its part is "" where a finding
// was gone to later.
func (s *Session) Missed() Lack { return s.missed }

// GoToMissing goes to the first figure that a check lacks.
func (s *Session) GoToMissing(f rules.Finding) {
	l := s.lacksOf(f)[0]
	l.Says = f.Message
	s.GoToLack(l)
}

// GoToLack goes to a missing figure.
func (s *Session) GoToLack(l Lack) {
	s.GoTo(string(l.On))
	s.missed = l
	s.changed(FigureWanted)
}
