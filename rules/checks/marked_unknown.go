package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
)

// A figure that is left out stands at the catalogue's default, or is of no account. One
// that is marked unknown was looked for and not found: a rule that it matters to asks
// for it instead of taking the default.

// askMarked asks for a field of a part that is marked unknown. It tells whether it did.
func askMarked(p *rules.Pass, q components.Part, key, why string) bool {
	if !q.Told(key).IsUnknown() {
		return false
	}
	p.Unchecked(string(q.ID), fmt.Sprintf("%s of %s is not known, so %s", key, q.ID, why))
	return true
}

// conditions are what the ampacity of a run hangs on beside its size and construction.
var conditions = []struct {
	key, why string
	dc       bool // of DC cable alone
}{
	{key: "metal", why: "its ampacity is worked out for copper: look at a cut strand; aluminum and copper-clad carry as two sizes smaller do"},
	{key: "ambient_c", why: "its ampacity is worked out for the project's air: measure at the hottest place on its way"},
	{key: "with", why: "its ampacity is worked out for a run that lies alone: count the loaded conductors beside it"},
	{key: "engine_space", why: "its ampacity is worked out outside the engine space: follow it", dc: true},
}

// askConditions asks for what the ampacity of AC or DC runs hangs on where it is marked
// unknown.
func askConditions(p *rules.Pass, dc bool) {
	if !p.First() {
		return
	}
	for _, r := range p.Doc.Runs() {
		cores := p.Doc.CoresOf(r)
		if r.Gone() || len(cores) == 0 || cores[0].From.DC() != dc || cores[0].From == components.G && len(cores) == 1 {
			continue
		}
		for _, c := range conditions {
			if r.Told(c.key).IsUnknown() && (dc || !c.dc) {
				p.Unchecked(string(r.ID), fmt.Sprintf("%s of %s is not known, so %s", c.key, r.ID, c.why))
			}
		}
	}
}
