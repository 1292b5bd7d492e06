package folio

import (
	"rigline/export/scene"
	"rigline/export/terms"
)

// say puts the book's words into those of the rig's rule set. The drawings have them
// already, and so have most lists: to say a thing twice changes nothing.
func (f *Folio) say(t terms.Terms) {
	for _, drawings := range [][]Drawing{f.Sheets, f.States, f.Marked} {
		for i, d := range drawings {
			drawings[i].Title, drawings[i].Lines = t.Say(d.Title), t.All(d.Lines)
		}
	}
	for i, c := range f.Chapters {
		f.Chapters[i].Title, f.Chapters[i].Lines = t.Say(c.Title), t.All(c.Lines)
		for k, table := range c.Tables {
			c.Tables[k] = t.Table(table)
		}
		for _, e := range c.Entries {
			about := ""
			for k, l := range e.Lines {
				if l.About != "" || !l.Under {
					about = l.About
				}
				if about != "basis" { // quoted as it was published
					e.Lines[k].Says = t.Say(l.Says)
				}
			}
		}
	}
}

// said are marks in the words of the rig's rule set.
func said(marks []scene.Mark, t terms.Terms) []scene.Mark {
	for i, m := range marks {
		marks[i].Text, marks[i].Letters = t.Say(m.Text), t.Say(m.Letters)
	}
	return marks
}
