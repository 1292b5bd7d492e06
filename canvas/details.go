package canvas

import (
	"fmt"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"rigline/canvas/session"
	"rigline/components"
)

// details shows what is selected, every field of it, or the project.
type details struct {
	e     *Editor
	title *widget.Label
	list  *fyne.Container
	roll  *container.Scroll
	rows  []*row
	shape string // what the rows were built for
	open  map[string]bool
	box   fyne.CanvasObject
}

func newDetails(e *Editor) *details {
	d := &details{e: e, title: widget.NewLabel(""), list: container.NewVBox(), open: map[string]bool{}}
	d.title.TextStyle.Bold = true
	d.title.Truncation = fyne.TextTruncateEllipsis
	roll, box := rolled(besideBar(d.list))
	d.roll = roll
	d.box = container.NewBorder(container.NewVBox(d.title, widget.NewSeparator()), nil, nil, nil, box)
	d.refresh()
	return d
}

// refresh rebuilds the rows where something else is shown, and otherwise brings
// those that are there up to date.
func (d *details) refresh() {
	shape := d.shapeOf()
	if shape == d.shape {
		for _, r := range d.rows {
			r.show()
		}
		return
	}
	sameThing := strings.Split(shape, "\x00")[0] == strings.Split(d.shape, "\x00")[0]
	d.shape = shape
	d.rows = nil
	d.list.RemoveAll()
	d.build()
	d.list.Refresh()
	if !sameThing {
		d.roll.ScrollToTop()
	}
}

// shapeOf is what the list of rows depends on: the thing, its kind, and the number
// of its circuits.
func (d *details) shapeOf() string {
	s := d.e.s
	sel := s.Selected()
	if len(sel) != 1 {
		ids := make([]string, len(sel))
		for i, id := range sel {
			ids[i] = string(id)
		}
		shape := fmt.Sprintf("many %s\x00%s %v %s %d", strings.Join(ids, " "), s.State(), s.OwnStates(), s.Doc().Units+" "+s.Doc().Basis, len(s.Doc().Revisions))
		for i := range s.Doc().Revisions {
			shape += fmt.Sprint(d.open[fmt.Sprintf("revision %d", i)])
		}
		return shape
	}
	shape := string(sel[0]) + " " + s.Doc().Units + " " + s.Doc().Basis
	if p, ok := s.Doc().Part(sel[0]); ok {
		shape += " " + p.Kind.ID
		for _, f := range p.Kind.Fields {
			if f.Type == components.Rows {
				shape += fmt.Sprintf("\x00%d", len(p.Spec[f.Key].Rows()))
				for k, on := range d.open {
					if on && strings.HasPrefix(k, string(p.ID)+" ") {
						shape += k
					}
				}
			}
		}
	}
	return shape
}

func (d *details) add(rows ...*row) {
	for _, r := range rows {
		d.rows = append(d.rows, r)
		d.list.Add(r.box)
	}
}

func (d *details) head(text string) {
	t := newText(d.e.s.Say(text), theme.ColorNamePlaceHolder)
	t.bold = true
	d.list.Add(container.NewPadded(t))
}

// enter takes the keyboard to the first figure.
func (d *details) enter() {
	for _, r := range d.rows {
		if f, ok := r.control.(fyne.Focusable); ok && r.figure {
			d.roll.ScrollToOffset(fyne.NewPos(0, max(0, r.box.Position().Y-40)))
			d.focus(f)
			return
		}
	}
}

// focus takes the keyboard to a control; what is typed there takes the place of
// what stands in it.
func (d *details) focus(f fyne.Focusable) {
	d.e.win.Canvas().Focus(f)
	if e, ok := f.(*entry); ok {
		e.TypedShortcut(&fyne.ShortcutSelectAll{})
	}
}

// enterMissing takes the keyboard to the figure that a check asks for, or to the
// first.
func (d *details) enterMissing(l session.Lack) {
	if l.Rows != nil {
		d.open[circuitKey(l.On, l.Rows, l.Row)] = true
		d.refresh()
	}
	for _, r := range d.rows {
		c, ok := r.control.(fyne.Focusable)
		if ok && l.Field != nil && r.field != nil && r.field.Key == l.Field.Key && (l.Rows == nil) == (r.row == 0) && (l.Rows == nil || r.row == l.Row+1) {
			d.roll.ScrollToOffset(fyne.NewPos(0, max(0, r.box.Position().Y-40)))
			d.focus(c)
			return
		}
	}
	d.enter()
}

func (d *details) build() {
	s := d.e.s
	switch sel := s.Selected(); {
	case len(sel) == 0:
		d.project()
	case len(sel) > 1:
		d.several()
	default:
		if _, ok := s.Doc().Part(sel[0]); ok {
			d.part(sel[0])
		} else if i, ok := s.NoteOf(sel[0]); ok {
			d.note(i)
		} else {
			d.run(sel[0])
		}
	}
}

// textRow edits a plain text.
func textRow(title, hint string, get func() string, set func(string) error) *row {
	var r *row
	e := newProse()
	e.commit = func(text string) {
		r.say("", false)
		if text == get() {
			return
		}
		if err := set(text); err != nil {
			r.say(err.Error(), true)
		}
	}
	e.SetPlaceHolder(hint)
	r = newRow(title, "", e)
	r.show = func() { e.show(get()) }
	r.show()
	return r
}

// pickRow edits one word of several.
func pickRow(title string, options []string, get func() string, set func(string) error) *row {
	var r *row
	busy := false
	sel := newPickList(options)
	sel.OnChanged = func(text string) {
		if busy || text == get() {
			return
		}
		if err := set(text); err != nil {
			r.show()
			r.say(err.Error(), true)
		}
	}
	r = newRow(title, "", sel)
	r.show = func() {
		busy = true
		if sel.Selected != get() {
			sel.SetSelected(get())
		}
		busy = false
		r.say("", false)
	}
	r.show()
	return r
}

// wordRow edits one word of the file's, each shown in plain words.
func wordRow(title string, words []string, get func() string, set func(string) error) *row {
	options := make([]string, len(words))
	for i, w := range words {
		options[i] = plainWord("", w)
	}
	return pickRow(title, options, func() string { return plainWord("", get()) }, func(t string) error { return set(bareChoice("", words, t)) })
}

func (d *details) part(id components.ID) {
	s := d.e.s
	now := func() components.Part { p, _ := s.Doc().Part(id); return p }
	kind := now().Kind
	d.title.SetText(string(id) + "  " + s.Say(kind.Title))
	describe := func(what string, change func(*components.Describe)) error {
		e := now().Described()
		change(&e)
		return s.Do(fmt.Sprintf("Change the %s of %s", what, id), e)
	}
	d.add(
		textRow("Tag", "", func() string { return string(id) }, func(t string) error { return s.Rename(id, components.ID(strings.TrimSpace(t))) }),
		textRow("Name", notTold, func() string { return now().Name }, func(t string) error {
			return describe("name", func(e *components.Describe) { e.Name = t })
		}),
		pickRow("Status", components.Statuses, func() string { return statusWord(now().Status) }, func(t string) error {
			return describe("status", func(e *components.Describe) { e.Status = components.Status(t) })
		}),
	)
	d.head("Figures")
	for i := range kind.Fields {
		f := &kind.Fields[i]
		if f.Type == components.Rows {
			d.circuits(id, f)
			continue
		}
		d.add(d.choosable(id, f, d.field(f, func() components.Value { return now().Spec[f.Key] }, func() components.Spec { return now().Spec },
			func(v components.Value) error { return s.SetField(id, f, v) }, s.Doc().Units == "metric")))
	}
	if kind.Role == components.Protects {
		d.add(d.facts(id))
	}
	d.head("Note and purchase")
	d.add(
		textRow("Note", notTold, func() string { return now().Note }, func(t string) error {
			return describe("note", func(e *components.Describe) { e.Note = t })
		}),
		textRow("Description", notTold, func() string { return now().Buy.Description }, func(t string) error {
			return describe("description", func(e *components.Describe) { e.Buy.Description = t })
		}),
		textRow("Supplier", notTold, func() string { return now().Buy.Supplier }, func(t string) error {
			return describe("supplier", func(e *components.Describe) { e.Buy.Supplier = t })
		}),
		textRow("Part number", notTold, func() string { return now().Buy.PartNo }, func(t string) error {
			return describe("part number", func(e *components.Describe) { e.Buy.PartNo = t })
		}),
		textRow("Price", notTold, func() string { return priceText(now().Buy.Price) }, func(t string) error {
			price, err := parsePrice(t)
			if err != nil {
				return err
			}
			return describe("price", func(e *components.Describe) { e.Buy.Price = price })
		}),
	)
	d.ports(id)
}

func priceText(v float64) string {
	if v == 0 {
		return ""
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

func parsePrice(t string) (float64, error) {
	if strings.TrimSpace(t) == "" {
		return 0, nil
	}
	v, err := strconv.ParseFloat(strings.TrimSpace(t), 64)
	if err != nil || v < 0 || v > 1e9 {
		return 0, fmt.Errorf("%q is no price: want a number, as in 129.50", t)
	}
	return v, nil
}

func statusWord(st components.Status) string {
	if st == "" {
		return string(components.New)
	}
	return string(st)
}

// ports lists what ends at a part, and goes there on a click.
func (d *details) ports(id components.ID) {
	s := d.e.s
	d.head("Terminals")
	list := widget.NewLabel("")
	list.Wrapping = fyne.TextWrapWord
	show := func() {
		p, ok := s.Doc().Part(id)
		if !ok {
			return
		}
		var lines []string
		for _, port := range p.Ports() {
			var ends []string
			for _, r := range s.Doc().RunsAt(p.Ref(port.Name)) {
				ends = append(ends, fmt.Sprintf("%s to %s", r.ID, r.Other(p.Ref(port.Name))))
			}
			what := "nothing"
			if len(ends) > 0 {
				what = strings.Join(ends, ", ")
			}
			poles := make([]string, len(port.Poles))
			for i, q := range port.Poles {
				poles[i] = string(q)
			}
			lines = append(lines, fmt.Sprintf("%s (%s): %s", port.Name, s.Say(strings.Join(poles, " ")), what))
		}
		list.SetText(strings.Join(lines, "\n"))
	}
	d.add(&row{box: list, show: show})
	show()
}

// circuitKey is by which a circuit is known to be unfolded.
func circuitKey(id components.ID, f *components.Field, i int) string {
	return fmt.Sprintf("%s %s %d", id, f.Key, i)
}

// circuits edits a table, a line a row, opened on a click.
func (d *details) circuits(id components.ID, f *components.Field) {
	s := d.e.s
	d.head(f.Title)
	part, _ := s.Doc().Part(id)
	for i := range part.Spec[f.Key].Rows() {
		cells := func() components.Spec {
			p, _ := s.Doc().Part(id)
			if rows := p.Spec[f.Key].Rows(); i < len(rows) {
				return rows[i]
			}
			return nil
		}
		key := circuitKey(id, f, i)
		if !d.folding(key, func() string { return s.Say(circuitText(i, f, cells())) }, func() { _ = s.RemoveRow(id, f, i) }) {
			continue
		}
		for j := range f.Row {
			c := &f.Row[j]
			r := d.field(c, func() components.Value { return cells()[c.Key] }, cells,
				func(v components.Value) error { return s.SetCell(id, f, i, c, v) }, false)
			r.row = i + 1
			if session.ChoosableCell(c.Key) {
				r = weighed(r, func() { d.e.chooseCell(id, f, i, c) })
			}
			d.add(r)
		}
		d.list.Add(widget.NewSeparator())
	}
	more := newButton("Add a circuit", theme.ContentAddIcon(), func() {
		p, _ := s.Doc().Part(id)
		d.open[circuitKey(id, f, len(p.Spec[f.Key].Rows()))] = true
		_ = s.AddRow(id, f)
	})
	d.list.Add(more)
}

// circuitText is a circuit in one line: "c2   L1   20 A   Galley".
func circuitText(i int, f *components.Field, row components.Spec) string {
	words := []string{fmt.Sprintf("c%d", i+1)}
	for _, c := range f.Row {
		v, _ := c.Of(row)
		switch {
		case c.Type == components.Truth:
			if v.Known() && v.Truth() {
				words = append(words, strings.ToLower(c.Title))
			}
		case row[c.Key].IsUnknown():
			words = append(words, "? "+c.Unit)
		case v.Known():
			words = append(words, word(&c, v)+suffix(c.Unit))
		}
	}
	return strings.Join(words, "   ")
}

// field edits one field in the words of the rig's rule set.
func (d *details) field(f *components.Field, get func() components.Value, spec func() components.Spec, set func(components.Value) error, metric bool) *row {
	return d.e.said(fieldRow(d.e.spoken(f), get, spec, set, metric))
}

func (d *details) run(id components.ID) {
	s := d.e.s
	now := func() components.Run { r, _ := s.Doc().Run(id); return r }
	d.title.SetText(fmt.Sprintf("%s  from %s to %s", id, now().From, now().To))
	reroute := func(what string, change func(*components.Reroute)) error {
		e := now().Rerouted()
		change(&e)
		return s.Do(fmt.Sprintf("Change the %s of %s", what, id), e)
	}
	cores := textRow("Conductors", "", func() string { return s.Say(coresText(now().Cores)) }, func(t string) error { return s.SetCores(id, t) })
	show := cores.show
	cores.show = func() {
		show()
		if now().Cores == nil {
			cores.say("Those that both ports have: "+s.Say(coresText(s.Doc().CoresOf(now()))), false)
		} else {
			cores.say("", false)
		}
	}
	cores.show()
	d.add(
		textRow("Tag", "", func() string { return string(id) }, func(t string) error { return s.Rename(id, components.ID(strings.TrimSpace(t))) }),
		cores,
		pickRow("Status", components.Statuses, func() string { return statusWord(now().Status) }, func(t string) error {
			return reroute("status", func(e *components.Reroute) { e.Status = components.Status(t) })
		}),
	)
	d.head("Figures")
	metric := s.Doc().Units == "metric"
	for i := range components.RunFields {
		f := &components.RunFields[i]
		get := func() components.Value { return now().Spec[f.Key] }
		set := func(v components.Value) error { return s.SetField(id, f, v) }
		if metric && f.Unit == "ft" {
			d.add(metreRow(d.e.spoken(f), get, set))
			continue
		}
		d.add(d.choosable(id, f, d.field(f, get, func() components.Spec { return now().Spec }, set, metric)))
		if f.Key == "size" {
			d.add(d.facts(id))
		}
	}
	d.head("Note")
	d.add(textRow("Note", notTold, func() string { return now().Note }, func(t string) error {
		return reroute("note", func(e *components.Reroute) { e.Note = t })
	}))
}

func (d *details) note(i int) {
	s := d.e.s
	now := func() components.Note {
		if i < len(s.Doc().Notes) {
			return s.Doc().Notes[i]
		}
		return components.Note{}
	}
	d.title.SetText("Mark-up: " + now().Form)
	d.add(textRow("Text", notTold, func() string { return now().Text }, func(t string) error {
		n := now()
		n.Text = t
		return s.SetNote(i, n)
	}))
}

func coresText(cores []components.Core) string {
	words := make([]string, len(cores))
	for i, c := range cores {
		words[i] = c.String()
	}
	return strings.Join(words, ", ")
}

// project shows the rig as a whole, where nothing is selected.
func (d *details) project() {
	s := d.e.s
	d.title.SetText("The rig")
	if s.State() != "" {
		d.title.SetText("In the state " + s.Say(s.State()))
		d.story()
		d.state(s.State())
		d.head("Project")
	}
	set := func(what string, change func(*components.SetProject)) error {
		e := s.Doc().Project()
		change(&e)
		return s.Do("Change the "+what, e)
	}
	text := func(title string, at func(*components.SetProject) *string) *row {
		return textRow(title, notTold, func() string { e := s.Doc().Project(); return *at(&e) }, func(t string) error {
			return set(strings.ToLower(title), func(e *components.SetProject) { *at(e) = t })
		})
	}
	degrees := func(title string, lo, hi float64, at func(*components.SetProject) *float64) *row {
		f := &components.Field{Key: title, Title: title, Unit: "°C", Type: components.Number, Min: lo, Max: hi, Required: true, Shapes: true}
		return fieldRow(f, func() components.Value { e := s.Doc().Project(); return components.Num(*at(&e)) }, func() components.Spec { return nil },
			func(v components.Value) error {
				if e := s.Doc().Project(); *at(&e) == v.Num() {
					return nil
				}
				return set(strings.ToLower(title), func(e *components.SetProject) { *at(e) = v.Num() })
			}, false)
	}
	d.add(
		text("Title", func(e *components.SetProject) *string { return &e.Title }),
		text("What it is", func(e *components.SetProject) *string { return &e.Rig.About }),
		text("Drawn by", func(e *components.SetProject) *string { return &e.Rig.DrawnBy }),
		text("Checked by", func(e *components.SetProject) *string { return &e.Rig.CheckedBy }),
		text("Revision", func(e *components.SetProject) *string { return &e.Rig.Revision }),
		text("Date", func(e *components.SetProject) *string { return &e.Rig.Date }),
		wordRow("Rules", []string{components.USVehicle, components.Caravan}, func() string { return s.Doc().Basis }, func(t string) error {
			return set("rule set", func(e *components.SetProject) { e.Basis = t })
		}),
		wordRow("Units", []string{"us", "metric"}, func() string { return s.Doc().Units }, func(t string) error {
			return set("units", func(e *components.SetProject) { e.Units = t })
		}),
		degrees("Air around the runs", -40, 90, func(e *components.SetProject) *float64 { return &e.AmbientC }),
		degrees("Conductors, for drops", 20, 105, func(e *components.SetProject) *float64 { return &e.ConductorTempC }),
		wordRow("DC cable carries as", []string{components.ByConstruction, components.Enclosed}, func() string { return s.Doc().Ampacity }, func(t string) error {
			return set("tables of ampacity", func(e *components.SetProject) { e.Ampacity = t })
		}),
	)
	d.revisions()
}

// story tells what feeds what in the chosen state, and where neutral and ground
// meet.
func (d *details) story() {
	s := d.e.s
	live := widget.NewLabel("")
	live.Wrapping = fyne.TextWrapWord
	show := func() {
		text := "Solving …"
		if l, ok := s.Live(); ok {
			text = strings.Join(l.Lines, "\n")
			if l.Failed != "" {
				text = "No figures: " + l.Failed + "\n" + text
			}
			if text == "" {
				text = "Nothing is live."
			}
		}
		if live.Text != text {
			live.SetText(text)
			resettle(d.list)
		}
	}
	show()
	d.add(&row{box: live, show: show})
}
