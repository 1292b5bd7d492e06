package canvas

import (
	"path/filepath"

	"fyne.io/fyne/v2"
	fynecanvas "fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"rigline/canvas/session"
	"rigline/projects"
)

// first is what lies on an empty sheet: the ways to begin.
type first struct {
	e    *Editor
	back *fynecanvas.Rectangle
	list *fyne.Container
	away bool // the person wants empty paper
	box  fyne.CanvasObject
}

// mostRecent is how many recent files stand on the empty sheet.
const mostRecent = 4

func newFirst(e *Editor) *first {
	f := &first{e: e, back: fynecanvas.NewRectangle(nil), list: container.NewVBox()}
	f.back.StrokeWidth = 1
	card := container.NewStack(f.back, container.NewPadded(container.NewPadded(f.list)))
	f.box = container.NewCenter(container.New(&wide{380}, card))
	f.fill()
	return f
}

func (f *first) fill() {
	f.list.RemoveAll()
	button := func(text string, importance widget.Importance, do func()) {
		b := widget.NewButton(text, do)
		b.Alignment, b.Importance = widget.ButtonAlignLeading, importance
		f.list.Add(b)
	}
	head := func(text string) { f.list.Add(newText(text, theme.ColorNamePlaceHolder)) }
	title := widget.NewLabel("Begin a rig")
	title.TextStyle.Bold = true
	f.list.Add(title)
	button("Answer a few questions; a first sheet is drawn", widget.HighImportance, f.e.askQuestions)
	button("Open a project file", widget.MediumImportance, f.e.askOpen)
	button("Draw on empty paper", widget.MediumImportance, func() {
		f.away = true
		f.refresh()
		f.e.win.Canvas().Focus(f.e.board)
		f.e.s.Tell(session.Plain, "Drag a part from the shelf to the sheet, then drag from port to port to draw the runs")
	})
	if recent := f.e.app.Preferences().StringList(prefRecent); len(recent) > 0 {
		head("Files of late")
		for _, path := range recent[:min(len(recent), mostRecent)] {
			button(filepath.Base(path)+"   in "+filepath.Dir(path), widget.LowImportance, func() { f.e.open(path) })
		}
	}
	head("Look at a sample")
	for _, s := range projects.Samples() {
		button(s.Title, widget.LowImportance, func() { f.e.s.Start(s.Document()) })
	}
}

// refresh shows the ways to begin while there is nothing else.
func (f *first) refresh() {
	_, placing := f.e.s.Tool().(*session.Place)
	empty := len(f.e.s.Doc().Parts()) == 0 && len(f.e.s.Doc().Notes) == 0
	if !empty {
		f.away = false
	}
	show := empty && !placing && !f.away && f.e.s.Path() == "" && f.e.s.UndoLabel() == ""
	f.back.FillColor = theme.Color(theme.ColorNameOverlayBackground)
	f.back.StrokeColor = theme.Color(theme.ColorNameSeparator)
	if show != f.box.Visible() {
		if show {
			f.fill()
			f.box.Show()
		} else {
			f.box.Hide()
		}
	}
	f.e.board.bare = show
}
