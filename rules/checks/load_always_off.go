package checks

import (
	"fmt"
	"slices"
	"strings"

	"rigline/components"
	"rigline/rules"
)

// AlwaysOff finds a load that is connected and switched off in every state that feeds
// it: what it draws is held against nothing.
var AlwaysOff = &rules.Rule{
	ID:    "load.always-off",
	Title: "A load is switched off in every state",
	Must:  "Every AC load and charger that is connected runs in one of the states at least. What one draws that is off in all of them is held against no wire, breaker, inverter or bank; the sizes of its conductors and breakers against each other are. DC loads are counted together whatever the states say.",
	Basis: []rules.Basis{{Source: "a load that never runs on the drawing is checked as if it drew nothing", Seen: rules.Practice}},
	Level: rules.Advice, Stateless: true,
	Check: alwaysOff,
}

func alwaysOff(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		if q.Gone() || q.Kind != &components.ACLoad && q.Kind != &components.Charger {
			continue
		}
		var fed []int
		on := false
		for i, s := range p.All() {
			if fedIn(s, q) {
				fed = append(fed, i)
				on = on || switchedOn(s.State, q.ID)
			}
		}
		if on || len(fed) == 0 { // load.never-fed speaks
			continue
		}
		var names []string
		for _, i := range fed {
			names = append(names, p.All()[i].State.Name)
		}
		p.Report(rules.Finding{
			At:      string(q.ID),
			Message: fmt.Sprintf("%s is switched off in every state that feeds it (%s): what it draws is held against no wire, breaker or source", q.ID, strings.Join(names, ", ")),
			Working: []string{fmt.Sprintf("states in which %s runs: 0 of %d", q.ID, len(p.All()))},
			Fixes:   []rules.Fix{switchOn(p, q.ID, fed[0]), takeOff(p.Doc, q.ID)},
		})
	}
}

// switchedOn tells whether a load runs in a state, where it is fed.
func switchedOn(s components.State, load components.ID) bool {
	return !slices.Contains(s.Off, load) && (len(s.On) == 0 || slices.Contains(s.On, load))
}

// switchOn writes the states down with a load on in one of them.
func switchOn(p *rules.Pass, load components.ID, in int) rules.Fix {
	states := make([]components.State, len(p.All()))
	for i, s := range p.All() {
		states[i] = s.State
	}
	s := &states[in]
	s.Off = slices.DeleteFunc(slices.Clone(s.Off), func(id components.ID) bool { return id == load })
	if len(s.On) > 0 && !slices.Contains(s.On, load) {
		s.On = append(slices.Clone(s.On), load)
	}
	return rules.Fix{Title: fmt.Sprintf("Switch %s on in the state %s, and see what then speaks", load, s.Name), Edits: []components.Edit{components.SetStates{States: states}}}
}
