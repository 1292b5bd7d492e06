package checks

import (
	"fmt"
	"slices"

	"rigline/components"
	"rigline/rules"
)

// switchOff writes the states down with a load off in those that when chooses, so
// that the drawing says how the rig is used.
func switchOff(p *rules.Pass, load components.ID, when func(*rules.Pass) bool) rules.Fix {
	states := make([]components.State, len(p.All()))
	for i, s := range p.All() {
		states[i] = s.State
		if when(s) && !slices.Contains(s.State.Off, load) {
			states[i].Off = append(slices.Clone(s.State.Off), load)
		}
	}
	return rules.Fix{Title: fmt.Sprintf("Keep %s off in these states, and write them down", load), Edits: []components.Edit{components.SetStates{States: states}}}
}
