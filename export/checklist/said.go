package checklist

import "rigline/export/terms"

// said is the item in the words of the rig's rule set.
func (i Item) said(t terms.Terms) Item {
	for _, text := range []*string{&i.Meter, &i.Points, &i.Do, &i.Wrong, &i.Caution, &i.Phase.Title, &i.Expect.Missing} {
		*text = t.Say(*text)
	}
	i.Expect.Working = t.All(i.Expect.Working)
	return i
}
