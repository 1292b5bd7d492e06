package circuit

import (
	"slices"

	"rigline/components"
)

// stack adds up the voltages of batteries, and of solar arrays, that are drawn one
// above the other: the source of the upper one is the whole string, from its positive
// post to the negative post of the lowest.
func (c *Circuit) stack() {
	c.below = nil
	for i := range c.Sources {
		s := &c.Sources[i]
		if !s.stacks() {
			continue
		}
		p, _ := c.Doc.Part(s.Part)
		s.Volts = ownVolts(p)
		port := "neg"
		if s.Sun {
			port = "out"
		}
		s.Return, _ = c.At(p.ID, port, components.Neg)
	}
	posts := c.posts()
	for _, s := range posts {
		at := slices.IndexFunc(posts, func(o Source) bool { return c.under(o, s) })
		if at < 0 {
			continue
		}
		if c.below == nil {
			c.below = map[components.ID]components.ID{}
		}
		c.below[s.Part] = posts[at].Part
	}
	if c.below == nil {
		return
	}
	own := slices.Clone(c.Sources)
	for i := range c.Sources {
		s := &c.Sources[i]
		for _, id := range c.InSeries(s.Part)[1:] {
			j := slices.IndexFunc(own, func(o Source) bool { return o.Part == id })
			s.Volts += own[j].Volts
			s.Return = own[j].Return
		}
	}
}

// stacks tells whether a source may stand in a string with others of its sort.
func (s Source) stacks() bool { return s.Stores || s.Sun }

// posts are what may stand in series: the batteries that are sources, and every array,
// since how arrays are wired does not hang on the sun.
func (c *Circuit) posts() []Source {
	var all []Source
	for _, s := range c.Sources {
		if s.Stores {
			all = append(all, s)
		}
	}
	for _, p := range c.Doc.Parts() {
		if p.Kind != &components.SolarArray || p.Gone() {
			continue
		}
		pos, okP := c.At(p.ID, "out", components.Pos)
		neg, okN := c.At(p.ID, "out", components.Neg)
		if okP && okN {
			all = append(all, Source{Part: p.ID, Hot: pos, Return: neg, Sun: true})
		}
	}
	return all
}

// under tells whether a battery or an array stands right below another in a string.
// Two that share a post of one pole as well short each other instead.
func (c *Circuit) under(lower, upper Source) bool {
	return lower.stacks() && lower.Sun == upper.Sun && lower.Part != upper.Part && c.Net(lower.Hot) == c.Net(upper.Return) &&
		c.Net(lower.Hot) != c.Net(upper.Hot) && c.Net(lower.Return) != c.Net(upper.Return)
}

// InSeries are the batteries, or the arrays, of a string from one downward, itself first.
// Of those that stand in parallel below it only the first is told.
func (c *Circuit) InSeries(part components.ID) []components.ID {
	all := []components.ID{part}
	for {
		next, ok := c.below[all[len(all)-1]]
		if !ok || slices.Contains(all, next) {
			return all
		}
		all = append(all, next)
	}
}

// Carries tells whether a battery has another in series above it.
func (c *Circuit) Carries(battery components.ID) bool {
	for _, below := range c.below {
		if below == battery {
			return true
		}
	}
	return false
}

// StringVolts is the nominal voltage of a battery with those in series below it, 0
// where a figure is missing.
func (c *Circuit) StringVolts(battery components.Part) float64 {
	volts := 0.0
	for _, id := range c.InSeries(battery.ID) {
		p, _ := c.Doc.Part(id)
		v := ownVolts(p)
		if v == 0 {
			return 0
		}
		volts += v
	}
	return volts
}

func ownVolts(p components.Part) float64 {
	if p.Kind == &components.SolarArray {
		return p.Figure("vmp_v").Value * p.Figure("series").Value
	}
	return p.Figure("nominal_v").Value * p.Figure("series").Value
}
