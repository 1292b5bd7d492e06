package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/components/units"
	"rigline/rules"
	"rigline/rules/circuit"
	"rigline/rules/tables"
)

// Temperatures of a conductor at the beginning and at the end of a short, in °C:
// warm in service, and what thermoplastic insulation stands.
const (
	warmC     = 75
	spoiltC   = tables.ThermoplasticShortC
	promisedM = 3.5 // a curve that ends below this multiple says little of a short
)

// familyOf is the time-current family of a part that opens.
func familyOf(part components.Part) string {
	if part.Kind == &components.DCPanel {
		return "blade-atc"
	}
	return part.Word("family")
}

// bears is how long a core of a run, its conductors in parallel counted, stands a
// current, in s, were it of a size.
func bears(r components.Run, size units.Size, amps float64) float64 {
	amps /= math.Max(1, r.Figure("sets").Value)
	if r.Metal() != components.Copper {
		return tables.AluminumWithstand(size, amps, warmC, spoiltC)
	}
	return tables.Withstand(size, amps, warmC, spoiltC)
}

// clearing is how long the device of a feed takes to open at most, in s, when amps
// flow in the conductor behind it. Devices of several strings that feed the same
// conductor share the current by their ratings. weak tells that the curve promises
// too little to hold it against the device; working tells it in words.
func clearing(p *rules.Pass, f circuit.Feed, joint []circuit.Feed, amps float64) (seconds float64, weak bool, working func() string) {
	part, _ := p.Doc.Part(f.Device.Part)
	rating := f.LimitA
	for _, o := range joint {
		rating += o.LimitA
	}
	seconds, last := tables.FuseClears(familyOf(part), f.LimitA, amps*f.LimitA/rating)
	return seconds, last < promisedM || part.Kind == &components.DCBreaker, func() string {
		if math.IsInf(seconds, 1) {
			return fmt.Sprintf("%s: no opening time is promised at %.3g times its rating", f.Device, amps/rating)
		}
		return fmt.Sprintf("%s opens within %s s at %.3g times its rating", f.Device, numText(seconds), amps/rating)
	}
}

// bankFeed is what stands ahead of a port's positive terminal, seen from a
// battery.
func bankFeed(p *rules.Pass, part components.ID, port string) (circuit.Feed, bool) {
	t, ok := p.Circuit.At(part, port, components.Pos)
	if !ok {
		return circuit.Feed{}, false
	}
	for _, i := range p.Circuit.LinksAt(t) {
		for _, f := range p.Feeds()[int(i)] {
			if f.Source.Stores && f.Enters != t {
				return f, true
			}
		}
	}
	return circuit.Feed{}, false
}
