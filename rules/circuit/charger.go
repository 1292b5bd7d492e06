package circuit

import "rigline/components"

// Charges tells whether a DC-DC charger works in this state: its input is alive,
// and the engine runs where it waits for the engine. One that does not say waits
// for the engine where its input hangs on an alternator or a starting battery,
// whose charge it is not to take at rest; one between two house banks works
// whenever its input is alive.
func (c *Circuit) Charges(p components.Part) bool {
	in, ok := c.At(p.ID, "in", components.Pos)
	if !ok || !c.Live(in) {
		return false
	}
	return c.State.Engine || !c.WaitsForEngine(p)
}

// WaitsForEngine tells whether a DC-DC charger rests while the engine does.
func (c *Circuit) WaitsForEngine(p components.Part) bool {
	switch p.Word("runs") {
	case "always":
		return false
	case "engine":
		return true
	}
	in, ok := c.At(p.ID, "in", components.Pos)
	if !ok {
		return true
	}
	house := false
	for _, q := range c.Doc.Parts() {
		port := ""
		switch {
		case q.Gone():
		case q.Kind == &components.Alternator:
			port = "out"
		case q.Kind == &components.Battery:
			port = "pos"
		}
		t, ok := c.At(q.ID, port, components.Pos)
		if !ok || c.Net(t) != c.Net(in) {
			continue
		}
		if q.Kind == &components.Alternator || q.Word("role") == "starting" {
			return true
		}
		house = true
	}
	return !house // fed by nothing that is drawn: the vehicle's own system
}
