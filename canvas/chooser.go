package canvas

import (
	"fmt"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"rigline/canvas/session"
	"rigline/components"
	"rigline/rules"
)

// chooser lists the standard values of a figure, each with what it comes to and
// with what the rules say against it.
type chooser struct {
	e      *Editor
	field  *components.Field
	take   func(components.Value)
	list   *fyne.Container
	roll   *container.Scroll
	dialog dialog.Dialog
	lines  []*order
}

// choose opens the list for a figure.
func (e *Editor) choose(on components.ID, f *components.Field) *chooser {
	return e.chooseFrom(fmt.Sprintf("%s of %s", f.Title, on), f,
		func(v components.Value) { _ = e.s.SetField(on, f, v) },
		func(done func([]session.Candidate, []rules.Finding)) { e.s.Choose(on, f.Key, done) })
}

// chooseCell opens the list for a figure of a circuit.
func (e *Editor) chooseCell(on components.ID, rows *components.Field, row int, f *components.Field) *chooser {
	return e.chooseFrom(fmt.Sprintf("%s of %s, circuit %d", f.Title, on, row+1), f,
		func(v components.Value) { _ = e.s.SetCell(on, rows, row, f, v) },
		func(done func([]session.Candidate, []rules.Finding)) {
			e.s.ChooseCell(session.Cell{On: on, Rows: rows.Key, Row: row, Key: f.Key}, done)
		})
}

func (e *Editor) chooseFrom(title string, f *components.Field, take func(components.Value), weigh func(func([]session.Candidate, []rules.Finding))) *chooser {
	c := &chooser{e: e, field: f, take: take, list: container.NewVBox(widget.NewLabel("Weighing every value …"))}
	c.roll = container.NewVScroll(besideBar(c.list))
	c.dialog = dialog.NewCustom(title, "Leave it", c.roll, e.win)
	c.dialog.Resize(fyne.NewSize(620, 480))
	e.show(c.dialog)
	doc := e.s.Doc()
	weigh(func(all []session.Candidate, anyway []rules.Finding) {
		if e.s.Doc() == doc {
			c.fill(all, anyway)
		}
	})
	return c
}

func (c *chooser) fill(all []session.Candidate, anyway []rules.Finding) {
	c.list.RemoveAll()
	c.lines = nil
	if len(all) == 0 {
		c.list.Add(widget.NewLabel("There is no standard value to choose from"))
		return
	}
	for _, f := range anyway {
		l := widget.NewLabel("Whatever is chosen: " + c.e.saying(f))
		l.Wrapping = fyne.TextWrapWord
		c.list.Add(l)
	}
	var at fyne.CanvasObject // the present value, or the first that fits
	var to *order
	for _, o := range all {
		line := c.line(o)
		c.list.Add(line)
		if o.Now || at == nil && o.Fits() {
			at, to = line, c.lines[len(c.lines)-1]
		}
	}
	c.list.Refresh()
	c.roll.Refresh() // it is not rolled beyond what it knows of
	if at != nil {
		c.roll.ScrollToOffset(fyne.NewPos(0, max(0, at.Position().Y-60)))
		c.e.win.Canvas().Focus(to)
	}
}

// line is one value: a mark, the value, its figures, and why it does not fit.
func (c *chooser) line(o session.Candidate) fyne.CanvasObject {
	words := []string{word(c.field, o.Value) + suffix(c.field.Unit)}
	if o.Now {
		words[0] += "   (as it is)"
	}
	if text := c.e.s.Say(o.Figures.String()); text != "" {
		words = append(words, text)
	} else if o.Figures.Why != "" {
		words = append(words, o.Figures.Why)
	}
	var mark fyne.CanvasObject = widget.NewIcon(theme.ConfirmIcon())
	if len(o.Against) > 0 {
		mark = newLevelMark(o.Against[0].Level, 14, false)
	}
	for i, f := range o.Against {
		if i == 2 {
			words = append(words, fmt.Sprintf("and %d more", len(o.Against)-2))
			break
		}
		words = append(words, f.Level.String()+": "+c.e.saying(f))
	}
	if len(o.Against) == 0 {
		words = append(words, "no rule speaks against it")
	}
	b := newOrder(strings.Join(words, "\n"), func() {
		c.dialog.Hide()
		c.take(o.Value)
	})
	b.plain = true
	c.lines = append(c.lines, b)
	return container.NewBorder(nil, nil, container.New(&wide{28}, container.NewCenter(mark)), nil, b)
}
