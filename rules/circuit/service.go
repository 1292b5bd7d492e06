package circuit

import (
	"slices"

	"rigline/components"
)

// Service is what a site supply gives in this state, "" where it is not plugged in. The
// state's word is meant for the first site supply of the drawing and for those of its
// kind: another kind, as a small inlet of its own for one appliance, gives what it is. Where
// the word tells which of several plugs is in an inlet, every supply gives what it is.
func (c *Circuit) Service(shore components.Part) string {
	own := shore.Word("service")
	if c.State.Shore == "" || slices.Contains(c.State.Off, shore.ID) {
		return ""
	}
	for _, plugs := range c.plugs {
		for _, plug := range plugs {
			if p, _ := c.Doc.Part(plug.Shore); p.Word("service") == c.State.Shore {
				return own
			}
		}
	}
	for _, p := range c.Doc.Parts() {
		if p.Kind == &components.Shore && !p.Gone() {
			if p.Word("service") == own {
				return c.State.Shore
			}
			return own
		}
	}
	return own
}
