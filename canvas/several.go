package canvas

import (
	"fmt"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"rigline/canvas/session"
	"rigline/components"
)

// mixed stands for a figure that is not the same everywhere.
const mixed = "not the same"

// several edits everything selected at once: the status, and the figures that all
// of it has.
func (d *details) several() {
	s := d.e.s
	d.title.SetText(fmt.Sprintf("%d selected", len(s.Selected())))
	ids := make([]string, len(s.Selected()))
	for i, id := range s.Selected() {
		ids[i] = string(id)
	}
	const most = 24
	if n := len(ids); n > most {
		ids = append(ids[:most], fmt.Sprintf("and %d more", n-most))
	}
	l := widget.NewLabel(strings.Join(ids, ", ") + "\n\nWhat is told here is told of all of them, as one step.")
	l.Wrapping = fyne.TextWrapWord
	d.list.Add(l)
	d.add(pickRow("Status", append([]string{mixed}, components.Statuses...), func() string { return commonStatus(s) }, func(t string) error {
		if t == mixed {
			return nil
		}
		return s.DescribeAll(components.Status(t))
	}))
	fields := s.CommonFields()
	if len(fields) == 0 {
		return
	}
	d.head("Figures")
	for i := range fields {
		f := fields[i]
		if f.Shapes { // decides the terminals: a run could end at one that goes
			continue
		}
		d.add(d.sharedRow(&f))
	}
}

func commonStatus(s *session.Session) string {
	word := ""
	for _, p := range s.SelectedParts() {
		if w := statusWord(p.Status); word == "" {
			word = w
		} else if w != word {
			return mixed
		}
	}
	for _, r := range s.SelectedRuns() {
		if w := statusWord(r.Status); word == "" {
			word = w
		} else if w != word {
			return mixed
		}
	}
	return word
}

// sharedRow edits one figure of everything selected.
func (d *details) sharedRow(f *components.Field) *row {
	s := d.e.s
	get := func() components.Value { v, _ := s.CommonValue(f.Key); return v }
	set := func(v components.Value) error { return s.SetAll(f, v) }
	metric := s.Doc().Units == "metric"
	var r *row
	if metric && f.Unit == "ft" {
		r = metreRow(d.e.spoken(f), get, set)
	} else {
		r = d.field(f, get, func() components.Spec { return components.Spec{}.With(f.Key, get()) }, set, metric)
	}
	show := r.show
	r.show = func() {
		show()
		if _, same := s.CommonValue(f.Key); !same {
			switch c := r.control.(type) {
			case *entry:
				c.SetPlaceHolder(mixed)
			case *pickList:
				c.Selected, c.PlaceHolder = "", mixed
				c.Refresh()
			}
			r.say("They differ. What is told here takes the place of all", false)
		}
	}
	r.show()
	return r
}

// choosable adds a button to a figure of standard values that opens them as a list.
func (d *details) choosable(id components.ID, f *components.Field, r *row) *row {
	if !session.Choosable(d.e.s.Doc(), id, f.Key) {
		return r
	}
	return weighed(r, func() { d.e.choose(id, f) })
}

// weighed puts a button under a figure that opens its standard values.
func weighed(r *row, open func()) *row {
	b := newButton("Weigh all values", theme.ListIcon(), open)
	b.Importance = widget.LowImportance
	b.Alignment = widget.ButtonAlignLeading
	r.box = container.NewVBox(r.box, b)
	return r
}

// facts tells what a run or a device may carry and does carry, as the document
// stands.
func (d *details) facts(id components.ID) *row {
	l := widget.NewLabel("")
	l.Wrapping = fyne.TextWrapWord
	l.SizeName = theme.SizeNameCaptionText
	l.Hide()
	var asked *components.Document
	r := &row{box: l}
	r.show = func() {
		doc := d.e.s.Doc()
		if asked == doc {
			return
		}
		asked = doc
		d.e.s.Facts(id, func(text string) {
			if asked != doc || d.e.s.Doc() != doc {
				return
			}
			if text = d.e.s.Say(text); text == l.Text {
				return
			}
			if text != "" {
				l.SetText(text)
			}
			shown(l, text != "")
			resettle(d.list)
		})
	}
	r.show()
	return r
}
