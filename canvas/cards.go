package canvas

import (
	"fmt"
	"slices"

	"fyne.io/fyne/v2"

	"rigline/rules"
)

// card is an entry of the list of findings. It stays while it would look the same,
// and what it does is about the finding of the last report.
type card struct {
	box fyne.CanvasObject
	of  rules.Finding
}

// deck is the entries of a list by their faces: all that a person sees of each. What
// an edit leaves as it was is not drawn again.
type deck struct {
	last, next map[string]*card
	boxes      []fyne.CanvasObject // in order
}

// begin begins a list.
func (d *deck) begin() { d.next, d.boxes = map[string]*card{}, nil }

// add puts the entry of a face next, the one of the last list where there was one.
func (d *deck) add(face string, f rules.Finding, make func(c *card) fyne.CanvasObject) *card {
	if twin := d.next[face]; twin != nil {
		face = fmt.Sprint(face, len(d.next)) // two entries that say the same
	}
	c := d.last[face]
	if c == nil {
		c = &card{of: f}
		c.box = make(c)
	}
	c.of = f
	d.next[face] = c
	d.boxes = append(d.boxes, c.box)
	return c
}

// end shows the list in a container. Where it is the last one nothing is drawn.
func (d *deck) end(list *fyne.Container) {
	d.last = d.next
	if !slices.Equal(list.Objects, d.boxes) {
		list.Objects = d.boxes
		resettle(list) // texts find their lines, and so their height
		resettle(list) // and then their places
	}
}

// face is all that the list shows of a finding.
func (l *findings) face(number int, f rules.Finding) string {
	fixes := make([]string, len(f.Fixes))
	for i, fix := range f.Fixes {
		fixes[i] = fix.Title
	}
	key := keyOf(f)
	face := fmt.Sprint(number, f.Level, key, f.Unchecked, f.Accepted != nil, l.e.s.Doc().Basis, l.e.saying(f), fixes, l.open[key])
	if l.open[key] {
		face += fmt.Sprint(f.Working, f.RestsOn, f.States, f.Also)
		if f.Accepted != nil {
			face += fmt.Sprint(*f.Accepted)
		}
	}
	return face
}
