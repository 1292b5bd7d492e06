package cards

import "rigline/export/terms"

// said is the card in the words of the rig's rule set.
func (c Card) said(t terms.Terms) Card {
	for i, l := range c.Limits {
		c.Limits[i].Why = t.Say(l.Why)
	}
	for i, s := range c.Set {
		c.Set[i].What, c.Set[i].Why = t.Say(s.What), t.Say(s.Why)
	}
	for _, loads := range [][]Load{c.Always, c.TooBig, c.Off, c.Outlets} {
		for i, l := range loads {
			loads[i].Why = t.Say(l.Why)
		}
	}
	for i, ch := range c.Choices {
		c.Choices[i].Bank = t.Say(ch.Bank)
	}
	for i, sum := range c.Budget.Sums {
		c.Budget.Sums[i].Where = t.Say(sum.Where)
	}
	c.Title, c.Failure = t.Say(c.Title), t.Say(c.Failure)
	c.Starts, c.Charge, c.Unknown, c.Back = t.All(c.Starts), t.All(c.Charge), t.All(c.Unknown), t.All(c.Back)
	return c
}
