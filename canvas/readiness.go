package canvas

import (
	"fyne.io/fyne/v2"
	fynecanvas "fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"rigline/canvas/session"
	"rigline/rules"
)

// readiness is the line under the sheet: the one loud thing, when it has reason.
// On its right stands the last news.
type readiness struct {
	e    *Editor
	back *fynecanvas.Rectangle
	text *fynecanvas.Text
	mark *fyne.Container
	news *tipLabel
	box  fyne.CanvasObject
	says saying // what it shows
}

// saying is all that the line is made of.
type saying struct {
	line  string
	level rules.Level
	news  session.News
	dark  bool
}

func newReadiness(e *Editor) *readiness {
	r := &readiness{e: e, back: fynecanvas.NewRectangle(nil), text: fynecanvas.NewText("", nil), mark: container.NewCenter(), news: newTipLabel(e.tips)}
	r.text.TextSize = 14
	r.text.TextStyle.Bold = true
	r.news.Alignment = fyne.TextAlignTrailing
	left := container.NewHBox(container.NewPadded(r.mark), r.text, widget.NewLabel("  "))
	r.box = container.NewStack(r.back, container.NewBorder(nil, nil, left, nil, r.news))
	r.refresh()
	return r
}

func (r *readiness) refresh() {
	line, level := r.e.s.Readiness()
	told := r.e.s.Told()
	line, told.Text = r.e.s.Say(line), r.e.s.Say(told.Text)
	says, old := saying{line, level, told, dark()}, r.says
	if r.says = says; says == old {
		return
	}
	r.news.Importance = widget.MediumImportance
	if told.Mood == session.Wrong {
		r.news.Importance = widget.DangerImportance
	}
	if r.news.SetText(told.Text); says.line == old.line && says.level == old.level && says.dark == old.dark {
		return
	}
	r.text.Text = line
	r.text.Color = theme.Color(theme.ColorNameForeground)
	r.back.FillColor = theme.Color(theme.ColorNameHeaderBackground)
	r.mark.RemoveAll()
	if level > 0 {
		r.mark.Add(newLevelMark(level, 16, false))
	}
	if level == rules.Danger {
		r.back.FillColor = loud(dark())
		r.text.Color = theme.Color(theme.ColorNameForeground)
	}
	r.text.Refresh()
	r.back.Refresh()
	r.box.Refresh()
}
