package canvas

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"rigline/canvas/session"
	"rigline/rules"
)

// sieve is which findings the list shows: of a level, in a state, at what is
// selected.
type sieve struct {
	level    string
	state    string
	selected bool
	named    map[string]string // states by what the list calls them

	levels, states *pickList
	mine           *widget.Check
}

// The words of the sieve.
const (
	everyLevel     = "every level"
	notCheckedOnly = "not checked"
	acceptedOnly   = "accepted"
	everyState     = "every state"
)

var sieveLevels = []string{everyLevel, rules.Danger.String(), rules.Violation.String(), rules.Advice.String(), notCheckedOnly, acceptedOnly}

// newSieve is the line above the list.
func (l *findings) newSieve() fyne.CanvasObject {
	s := &l.sieve
	s.level, s.state = everyLevel, everyState
	again := func() {
		if l.shown != nil {
			l.fill()
		}
	}
	s.levels = newPickListOf(sieveLevels, func(t string) { s.level = t; again() })
	s.levels.Selected = everyLevel
	s.states = newPickListOf([]string{everyState}, func(t string) { s.state = t; again() })
	s.states.Selected = everyState
	s.mine = widget.NewCheck("Selected", func(on bool) { s.selected = on; again() })
	return container.NewGridWithColumns(2, s.levels, s.states)
}

// showAll takes the sieve away.
func (l *findings) showAll() {
	l.sieve.levels.SetSelected(everyLevel)
	l.sieve.states.SetSelected(everyState)
	l.sieve.mine.SetChecked(false)
}

// follow offers the states of a report.
func (s *sieve) follow(report *rules.Report, say func(string) string) {
	names := []string{everyState}
	s.named = map[string]string{}
	for _, st := range report.States {
		name := say(st.Name)
		names, s.named[name] = append(names, name), st.Name
	}
	if slices.Equal(s.states.Options, names) {
		return
	}
	s.states.SetOptions(names)
	if !slices.Contains(names, s.state) {
		s.states.SetSelected(everyState)
	}
}

// lets tells whether a finding is shown. One that names no state stands in all.
func (s *sieve) lets(on *session.Session, f rules.Finding) bool {
	switch s.level {
	case everyLevel:
	case notCheckedOnly:
		if !f.Unchecked {
			return false
		}
	case acceptedOnly:
		if f.Accepted == nil {
			return false
		}
	default:
		if f.Unchecked || f.Accepted != nil || f.Level.String() != s.level {
			return false
		}
	}
	if s.state != everyState && len(f.States) > 0 && !slices.Contains(f.States, s.named[s.state]) {
		return false
	}
	if !s.selected {
		return true
	}
	for _, a := range f.Addresses() {
		if id, ok := on.Owner(a); ok && on.IsSelected(id) {
			return true
		}
	}
	return false
}
