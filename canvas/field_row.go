package canvas

import (
	"math"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	fynecanvas "fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"rigline/components"
	"rigline/components/units"
)

// row is one line of the details: a title, what it holds, and a note under it.
type row struct {
	title   string
	control fyne.CanvasObject
	box     fyne.CanvasObject
	note    *widget.RichText
	says    *widget.TextSegment
	show    func() // brings it up to date with the document
	figure  bool   // a figure of the part, and not its name
	field   *components.Field
	row     int  // the circuit that it is a figure of, from 1
	wrong   bool // its note tells what is wrong with what stands in it
}

const titleWidth = 132

const wrapWord = fyne.TextWrapWord

// newRow lays a title beside a control, its note under both.
func newRow(title, unit string, control fyne.CanvasObject) *row {
	r := &row{title: title, control: control, says: &widget.TextSegment{Style: widget.RichTextStyle{SizeName: theme.SizeNameCaptionText, ColorName: theme.ColorNamePlaceHolder}}}
	r.note = widget.NewRichText(r.says)
	r.note.Wrapping = fyne.TextWrapWord
	r.note.Hide()
	var right fyne.CanvasObject
	if unit != "" {
		right = widget.NewLabel(unit)
	}
	head := newTitle(title)
	r.box = container.NewVBox(container.NewBorder(nil, nil, head, right, container.New(midway{}, control)), r.note)
	return r
}

// midway keeps a control at its own height beside a title of two lines.
type midway struct{}

// MinSize is the control's.
func (midway) MinSize(objects []fyne.CanvasObject) fyne.Size { return objects[0].MinSize() }

// Layout fills the width.
func (midway) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	h := min(size.Height, objects[0].MinSize().Height)
	objects[0].Move(fyne.NewPos(0, (size.Height-h)/2))
	objects[0].Resize(fyne.NewSize(size.Width, h))
}

// say writes the note; wrong makes it an error.
func (r *row) say(text string, wrong bool) {
	ink := theme.ColorNamePlaceHolder
	if r.wrong = wrong; wrong {
		ink = theme.ColorNameError
	}
	if r.note == nil || r.says.Text == text && r.says.Style.ColorName == ink {
		return
	}
	r.says.Text, r.says.Style.ColorName = text, ink
	if text == "" {
		r.note.Hide()
	} else {
		r.note.Show()
	}
	r.note.Refresh()
}

// newTitle is a field's title, broken into lines of a fixed width so that every
// control starts at the same place.
func newTitle(text string) fyne.CanvasObject {
	box := container.New(&titleLayout{})
	for _, line := range broken(text, titleWidth-6, theme.Size(theme.SizeNameCaptionText)+0.5) {
		t := newText(line, theme.ColorNameForeground)
		box.Add(t)
	}
	return box
}

type titleLayout struct{}

func (titleLayout) MinSize(objects []fyne.CanvasObject) fyne.Size {
	h := float32(0)
	for _, o := range objects {
		h += o.MinSize().Height
	}
	return fyne.NewSize(titleWidth, h)
}

func (titleLayout) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	h := float32(0)
	for _, o := range objects {
		h += o.MinSize().Height
	}
	y := max(0, (size.Height-h)/2)
	for _, o := range objects {
		o.Move(fyne.NewPos(4, y))
		o.Resize(fyne.NewSize(size.Width-4, o.MinSize().Height))
		y += o.MinSize().Height
	}
}

// broken breaks a text into lines no wider than width.
func broken(text string, width, size float32) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		next := strings.TrimSpace(line + " " + word)
		if line != "" && fyne.MeasureText(next, size, fyne.TextStyle{}).Width > width {
			lines = append(lines, line)
			next = word
		}
		line = next
	}
	return append(lines, line)
}

// inkText is a text that follows the theme.
type inkText struct {
	widget.BaseWidget
	text string
	ink  fyne.ThemeColorName
	bold bool
}

func newText(text string, ink fyne.ThemeColorName) *inkText {
	t := &inkText{text: text, ink: ink}
	t.ExtendBaseWidget(t)
	return t
}

// CreateRenderer shows the text in caption size.
func (t *inkText) CreateRenderer() fyne.WidgetRenderer {
	c := fynecanvas.NewText(t.text, theme.Color(t.ink))
	r := &inkTextRenderer{t, c}
	r.Refresh()
	return r
}

type inkTextRenderer struct {
	t *inkText
	c *fynecanvas.Text
}

func (r *inkTextRenderer) Layout(size fyne.Size)        { r.c.Resize(size) }
func (r *inkTextRenderer) MinSize() fyne.Size           { return r.c.MinSize() }
func (r *inkTextRenderer) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.c} }
func (r *inkTextRenderer) Destroy()                     {}
func (r *inkTextRenderer) Refresh() {
	r.c.Text, r.c.Color, r.c.TextStyle.Bold = r.t.text, theme.Color(r.t.ink), r.t.bold
	r.c.TextSize = theme.Size(theme.SizeNameCaptionText) + 0.5
	r.c.Refresh()
}

// The words for values that hold no figure.
const (
	unknownWord = "unknown"
	notTold     = "not told"
)

// fieldRow edits one field: a line of text, or a list of choices.
func fieldRow(f *components.Field, get func() components.Value, spec func() components.Spec, set func(components.Value) error, metric bool) *row {
	if f.Type == components.Choice || f.Type == components.Truth || f.Type == components.WireSize || len(f.OneOf) > 0 {
		return choiceRow(f, get, spec, set, metric)
	}
	var r *row
	var e *entry
	check := func(text string) (components.Value, bool) {
		v, err := f.Parse(text)
		if err == nil && !v.Told() && f.Required {
			if v = components.Unknown; f.Check(v) != nil {
				r.say("Must be told: it decides which terminals there are", true)
				return v, false
			}
		}
		if err != nil {
			r.say(plainError(f, err), true)
			return v, false
		}
		r.say(aside(f, v, spec(), e.inside), false)
		return v, true
	}
	e = newEntry(func(text string) {
		v, ok := check(text)
		if !ok {
			return
		}
		if err := set(v); err != nil {
			r.say(err.Error(), true)
		}
	})
	e.OnChanged = func(text string) { check(text) }
	e.entered = func(bool) {
		check(e.Text)
	}
	r = newRow(f.Title, f.Unit, e)
	r.figure, r.field = true, f
	r.show = func() {
		v := get()
		e.SetPlaceHolder(defaultText(f, spec()))
		if !e.typing {
			text := v.String()
			if f.Required && v.IsUnknown() {
				text = "" // the word stands greyed in the field, ready to be written over
			}
			e.show(text)
			r.say(aside(f, v, spec(), e.inside), false)
		}
	}
	r.show()
	return r
}

// metresPerFoot is the international foot.
const metresPerFoot = 0.3048

// metreRow edits a length that the file keeps in feet as metres, for a project in
// metric units. It shows whole millimetres.
func metreRow(f *components.Field, get func() components.Value, set func(components.Value) error) *row {
	scaled := func(v components.Value, by float64, digits float64) components.Value {
		if !v.Known() {
			return v
		}
		return components.Num(math.Round(v.Num()*by*digits) / digits)
	}
	m := *f
	m.Unit = "m"
	m.Min, m.Max = f.Min*metresPerFoot, f.Max*metresPerFoot
	m.Default = scaled(f.Default, metresPerFoot, 1000)
	inMetres := func() components.Value { return scaled(get(), metresPerFoot, 1000) }
	return fieldRow(&m, inMetres, func() components.Spec { return components.Spec{}.With(f.Key, inMetres()) }, func(v components.Value) error {
		if v.Equal(inMetres()) {
			return nil
		}
		return set(scaled(v, 1/metresPerFoot, 10000))
	}, true)
}

// plainError leaves the key of the file out of what is wrong: the title stands
// beside it already.
func plainError(f *components.Field, err error) string {
	return strings.TrimPrefix(strings.TrimPrefix(err.Error(), f.Key+" is "), f.Key+": ")
}

// defaultText is the default as it stands, greyed, in an empty field.
func defaultText(f *components.Field, s components.Spec) string {
	v, from := f.Of(s.With(f.Key, components.Value{}))
	if from == components.Default {
		return v.String()
	}
	if f.Required {
		return unknownWord
	}
	return notTold
}

// aside is the note under a field: where a default comes from and what unknown
// means, and, while the cursor is in it, what to know about it and its range.
func aside(f *components.Field, v components.Value, s components.Spec, all bool) string {
	var parts []string
	add := func(text string) {
		if text != "" {
			parts = append(parts, strings.ToUpper(text[:1])+strings.TrimSuffix(text[1:], "."))
		}
	}
	if d, from := f.Of(s.With(f.Key, components.Value{})); !v.Told() && from == components.Default {
		text := "default " + word(f, d) + suffix(f.Unit)
		if f.DefaultFrom != "" {
			text += ": " + f.DefaultFrom
		}
		add(text)
	}
	if v.IsUnknown() {
		add("not known: the checks that need it say so")
	}
	if all {
		add(f.Help)
		if f.Type == components.Number && (f.Min != 0 || f.Max != 0) {
			add(components.Num(f.Min).String() + " to " + components.Num(f.Max).String() + suffix(f.Unit) + ", or unknown")
		}
	}
	return strings.Join(parts, ". ")
}

func suffix(unit string) string {
	if unit == "" {
		return ""
	}
	return " " + unit
}

// word is a value as a list of choices shows it.
func word(f *components.Field, v components.Value) string {
	if f.Type == components.Truth && v.Known() {
		if v.Truth() {
			return "yes"
		}
		return "no"
	}
	if f.Type == components.Choice && v.Known() {
		return plainWord(f.Key, v.String())
	}
	if f.Type == components.WireSize {
		return squared(v.String())
	}
	return v.String()
}

// squared writes the square millimetres of a size as the sheet does; the file, which any
// keyboard can write, has a plain 2.
func squared(size string) string { return strings.Replace(size, "mm2", "mm²", 1) }

func choiceRow(f *components.Field, get func() components.Value, spec func() components.Spec, set func(components.Value) error, metric bool) *row {
	var r *row
	busy := false
	sel := newPickList(nil)
	sel.OnChanged = func(text string) {
		if busy {
			return
		}
		v := components.Str(bareChoice(f.Key, f.Choices, text))
		switch {
		case text == unknownWord:
			v = components.Unknown
		case text == emptyChoice(f, spec()):
			v = components.Value{}
		case f.Type == components.Truth:
			v = components.Yes(text == "yes")
		case f.Type == components.WireSize:
			v = components.Str(strings.Replace(text, "mm²", "mm2", 1))
		case f.Type == components.Number:
			v, _ = f.Parse(text) // one of the list always reads
		}
		if err := set(v); err != nil {
			r.show()
			r.say(err.Error(), true)
		}
	}
	r = newRow(f.Title, f.Unit, sel)
	r.figure, r.field = true, f
	r.show = func() {
		v := get()
		busy = true
		options := choices(f, spec(), metric)
		text := word(f, v)
		if !v.Told() {
			text = emptyChoice(f, spec())
		}
		if text != "" && !slices.Contains(options, text) {
			options = append(options, text)
		}
		if !slices.Equal(sel.Options, options) {
			sel.SetOptions(options)
		}
		if sel.Selected != text {
			sel.SetSelected(text)
		}
		busy = false
		r.say(aside(f, v, spec(), true), false)
	}
	r.show()
	return r
}

// emptyChoice is the entry for a field that nothing is told of.
func emptyChoice(f *components.Field, s components.Spec) string {
	if f.Required {
		return ""
	}
	if d, from := f.Of(s.With(f.Key, components.Value{})); from == components.Default {
		return "default: " + word(f, d)
	}
	return notTold
}

func choices(f *components.Field, s components.Spec, metric bool) []string {
	var options []string
	if empty := emptyChoice(f, s); empty != "" {
		options = append(options, empty)
	}
	switch f.Type {
	case components.Truth:
		options = append(options, "yes", "no")
	case components.WireSize:
		all := units.AWGSizes()
		if metric {
			all = units.MetricSizes()
		}
		for _, size := range all {
			options = append(options, squared(size.String()))
		}
	case components.Number:
		for _, n := range f.OneOf {
			options = append(options, components.Num(n).String())
		}
	default:
		for _, c := range f.Choices {
			options = append(options, plainWord(f.Key, c))
		}
	}
	if !f.Shapes {
		options = append(options, unknownWord)
	}
	return options
}

// besideBar keeps a list clear of the scroll bar that lies over its right edge.
func besideBar(o fyne.CanvasObject) fyne.CanvasObject {
	return container.New(layout.NewCustomPaddedLayout(0, 4, 2, theme.Size(theme.SizeNameScrollBar)+2), o)
}
