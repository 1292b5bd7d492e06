package canvas

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"rigline/components"
	"rigline/projects"
)

func (e *Editor) askNew() {
	e.guarded(func() {
		var d *dialog.CustomDialog
		box := container.NewVBox()
		add := func(title, note string, doc func() *components.Document) {
			b := newKeyButton(title, func() {
				d.Hide()
				e.s.Start(doc())
			})
			b.Alignment = widget.ButtonAlignLeading
			box.Add(b)
			if note != "" {
				t := newText(note, theme.ColorNamePlaceHolder)
				box.Add(container.NewPadded(t))
			}
		}
		ask := newKeyButton("Answer a few questions", func() {
			d.Hide()
			e.askQuestions()
		})
		ask.Importance = widget.HighImportance
		ask.Alignment = widget.ButtonAlignLeading
		box.Add(ask)
		box.Add(newText("Start from", theme.ColorNamePlaceHolder))
		for _, s := range projects.Starts() {
			add(s.Title, "", s.Document)
		}
		box.Add(widget.NewSeparator())
		box.Add(newText("Look at a sample", theme.ColorNamePlaceHolder))
		for _, s := range projects.Samples() {
			add(s.Title, "", s.Document)
		}
		if broken := projects.BrokenSamples(); len(broken) > 0 {
			box.Add(widget.NewSeparator())
			box.Add(newText("Look at a sample with faults in its wiring", theme.ColorNamePlaceHolder))
			for _, s := range broken {
				add(s.Title, "", s.Document)
			}
		}
		d = dialog.NewCustom("New rig", "Cancel", container.NewVScroll(box), e.win)
		d.Resize(fyne.NewSize(460, 460))
		e.show(d)
		e.win.Canvas().Focus(ask)
	})
}
