package circuit

import (
	"fmt"
	"maps"
	"slices"
	"sync"

	"rigline/components"
)

// Change is one thing that goes wrong in a settled circuit. Relays stay where
// they stood: a fault is quicker than they are.
type Change func(c *Circuit) error

// After gives a copy of the circuit with the changes made.
func (c *Circuit) After(changes ...Change) (*Circuit, error) {
	d, laid := *c, *c.Layout
	laid.ends = slices.Clone(laid.ends)
	laid.memo, laid.before, laid.settled, laid.earlier = &sync.Map{}, nil, &sync.Map{}, nil
	laid.comparable = false
	d.Layout, d.feeds, d.lasting, d.set = &laid, nil, nil, nil
	d.Links = slices.Clone(c.Links)
	d.Sources = slices.Clone(c.Sources)
	for _, change := range changes {
		if err := change(&d); err != nil {
			return nil, err
		}
	}
	d.nets = d.union(func(l *Link) bool { return l.Closed && !l.Bond })
	d.stack()
	d.findLive()
	return &d, nil
}

// OpenCore breaks one pole of a run: its neutral, or a leg.
func OpenCore(run components.ID, pole components.Pole) Change {
	return func(c *Circuit) error {
		found := false
		for i := range c.Links {
			if l := &c.Links[i]; l.Run == run && (l.Core.From == pole || l.Core.Role() == pole) {
				l.Closed, found = false, true
			}
		}
		if !found {
			return fmt.Errorf("run %s has no %s core: nothing to open", run, pole)
		}
		return nil
	}
}

// Blow opens an overcurrent device or a switch: every hot or positive contact of
// a part, or those of one circuit of a panel ("c3" or "main").
func Blow(part components.ID, place string) Change {
	return func(c *Circuit) error {
		found := false
		for i := range c.Links {
			l := &c.Links[i]
			if l.Part != part || !l.Join.When.Opens() {
				continue
			}
			if d, ok := c.Device(*l); ok && place != "" && d.Place != place {
				continue
			}
			l.Closed, found = false, true
		}
		if !found {
			return fmt.Errorf("%s has no contact that opens", part)
		}
		return nil
	}
}

// LoseString takes one string out of a battery, as its own fuse or its management
// system does: one of several in parallel, or all that there is.
func LoseString(battery components.ID) Change {
	return func(c *Circuit) error {
		p, ok := c.Doc.Part(battery)
		if !ok || p.Kind != &components.Battery || p.Gone() {
			return fmt.Errorf("%s is no battery of this drawing: no string to lose", battery)
		}
		c.strings = maps.Clone(c.strings)
		if c.strings == nil {
			c.strings = map[components.ID]float64{}
		}
		c.strings[battery] = c.Strings(p) - 1
		if c.strings[battery] == 0 {
			c.Sources = slices.DeleteFunc(c.Sources, func(s Source) bool { return s.Part == battery })
		}
		return nil
	}
}

// Strings is how many parallel strings of a battery are in.
func (c *Circuit) Strings(battery components.Part) float64 {
	if n, lost := c.strings[battery.ID]; lost {
		return n
	}
	return battery.Figure("parallel").Value
}

// ExtraBond joins neutral to ground at a part.
func ExtraBond(part components.ID) Change {
	return func(c *Circuit) error {
		for t, term := range c.Terms {
			if term.Part != part || term.Pole != components.N {
				continue
			}
			if g, ok := c.Term(term.PortRef.At(components.G)); ok {
				c.Links = append(c.Links, Link{A: Term(t), B: g, Part: part, Closed: true, Bond: true,
					Join: &components.Join{APort: term.Port, APole: components.N, BPort: term.Port, BPole: components.G, Bond: true, Via: "extra bond"}})
				i := int32(len(c.Links) - 1)
				c.ends[t] = append(slices.Clip(c.ends[t]), i)
				c.ends[g] = append(slices.Clip(c.ends[g]), i)
				return nil
			}
		}
		return fmt.Errorf("%s has no neutral beside a ground: nothing to bond", part)
	}
}

// SwapHotNeutral exchanges hot and neutral at a two-wire site outlet, as a
// miswired outlet does. The site's bond stays with the site's neutral, which now
// is the rig's hot.
func SwapHotNeutral(shore components.ID) Change {
	return func(c *Circuit) error {
		for i := range c.Sources {
			s := &c.Sources[i]
			if s.Part != shore {
				continue
			}
			if c.Terms[s.Hot].Pole != components.L {
				return fmt.Errorf("%s has two hots: swap shows on a 120 V two-wire outlet", shore)
			}
			hot := s.Hot
			s.Hot, s.Return = s.Return, s.Hot
			for j := range c.Links {
				if l := &c.Links[j]; l.Part == shore && l.Bond {
					if l.A == s.Hot {
						l.A = hot
					} else {
						l.B = hot
					}
				}
			}
			return nil
		}
		return fmt.Errorf("%s is not alive in this state", shore)
	}
}
