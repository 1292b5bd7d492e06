package checklist

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"rigline/components"
	"rigline/rules/checks"
)

// neutral is the current of the neutral at a generator or at the site, the largest
// of the states that use it, held against what its smallest core may carry or the
// site gives. Between opposite legs, or two of three, it never comes to more than
// the larger leg carries; what does is legs in phase.
func (b *bench) neutral(word string) Expect {
	kind := &components.Shore
	if word == "generator-neutral" {
		kind = &components.Generator
	}
	amps, state, found := 0.0, "", false
	leg, inPhase := 0.0, false // the most that a leg carries
	var through []string       // adapters, by what their sites give
	least := math.Inf(1)
	missing := ""
	for _, s := range b.rig.States {
		for _, p := range b.parts(kind) {
			if kind == &components.Shore && s.Shore == "" || kind == &components.Generator && !s.Generator {
				continue
			}
			if own := p.Word("service"); kind == &components.Shore && s.Shore != own && own != "" {
				if gives := fmt.Sprintf("%g A", components.ServiceAmps(s.Shore)); !slices.Contains(through, gives) {
					through = append(through, gives)
				}
				continue // what is asked there is more than the site's breaker gives
			}
			t, ok := s.Circuit.At(p.ID, "out", components.N)
			if !ok {
				continue
			}
			if a, ok := drawnAt(s, p.ID, "out", components.N); ok && (!found || a > amps) {
				amps, state, found = a, s.Name, true
			}
			inPhase = inPhase || kind == &components.Generator && p.Word("legs") != "opposite"
			for _, pole := range []components.Pole{components.L1, components.L2} {
				if a, ok := drawnAt(s, p.ID, "out", pole); ok {
					leg = math.Max(leg, a)
				}
			}
			for _, i := range s.Circuit.LinksAt(t) {
				r, isRun := b.doc.Run(s.Circuit.Links[i].Run)
				if !isRun {
					continue
				}
				a, err := checks.Ampacity(s.Circuit, r, components.N)
				if err != nil {
					missing = err.Error()
					continue
				}
				least = math.Min(least, a.Usable)
			}
		}
	}
	if kind == &components.Shore && b.site != nil {
		least, missing = components.ServiceAmps(b.site.Word("service")), ""
	}
	switch {
	case !found:
		return unknown("A", "no state of the drawing uses it")
	case missing != "" || infinite(least):
		return unknown("A", "%s", missing)
	}
	e := atMost(amps, least, least, "A", fmt.Sprintf("%.1f A by the drawing in %s, with every load on; at most %g A", amps, state, least))
	if most := 1.1*leg + 1; leg > 0 && !inPhase && most < least {
		e.Hi, e.WarnHi = most, math.Min(least, 1.25*most)
		e.Working = append(e.Working, fmt.Sprintf("the larger leg carries %.1f A, + 10 %% and 1 A; above it the legs may be in phase", leg))
	}
	if len(through) > 0 {
		e.Working = append(e.Working, "through an adapter at most what its site's breaker gives: "+strings.Join(through, ", "))
	}
	return e
}
