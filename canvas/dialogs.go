package canvas

import (
	"path/filepath"
	"slices"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/widget"

	"rigline/canvas/session"
	"rigline/components"
)

// Start opens a file, or shows the first sheet, and the cautions where they have
// not been read yet.
func (e *Editor) Start(path string) {
	e.refreshRecent()
	if path != "" {
		if abs, err := filepath.Abs(path); err == nil {
			path = abs // unsaved work may be taken up again from another folder
		}
		e.open(path)
	}
	e.win.Canvas().Focus(e.board)
	if !e.app.Preferences().Bool(prefCautions) {
		e.showCautions()
	}
}

// show opens a dialog that the escape key closes.
func (e *Editor) show(d dialog.Dialog) {
	e.dialogs = append(e.dialogs, d)
	d.SetOnClosed(func() {
		e.dialogs = slices.DeleteFunc(e.dialogs, func(o dialog.Dialog) bool { return o == d })
	})
	d.Show()
}

// dismiss closes the uppermost dialog.
func (e *Editor) dismiss() {
	if n := len(e.dialogs); n > 0 {
		e.dialogs[n-1].Dismiss()
	}
}

// fail tells what could not be done.
func (e *Editor) fail(err error) { e.show(dialog.NewError(err, e.win)) }

// way is one of the ways on that a question offers.
type way struct {
	name       string
	importance widget.Importance
	do         func() // nil: nothing more
}

// ask puts a question whose answers say what they do.
func (e *Editor) ask(title, text string, ways ...way) {
	words := widget.NewLabel(text)
	words.Wrapping = fyne.TextWrapWord
	d := dialog.NewCustomWithoutButtons(title, words, e.win)
	var buttons []fyne.CanvasObject
	var first *keyButton // the one that the return key presses: the safe way on, or else the way back
	for _, w := range ways {
		b := newKeyButton(w.name, func() {
			d.Hide()
			if w.do != nil {
				w.do()
			}
		})
		b.Importance = w.importance
		buttons = append(buttons, b)
		if first == nil || w.importance == widget.HighImportance {
			first = b
		}
	}
	d.SetButtons(buttons)
	d.Resize(fyne.NewSize(520, 160))
	e.show(d)
	e.win.Canvas().Focus(first)
	top := e.win.Canvas().Overlays().Top()
	e.focusSoon(first, func() bool { return top != nil && e.win.Canvas().Overlays().Top() == top })
}

// keyButton is a button that the return key presses as well as the space bar.
type keyButton struct{ widget.Button }

func newKeyButton(name string, do func()) *keyButton {
	b := &keyButton{}
	b.Text, b.OnTapped = name, do
	b.ExtendBaseWidget(b)
	return b
}

// TypedKey presses the button.
func (b *keyButton) TypedKey(ev *fyne.KeyEvent) {
	switch ev.Name {
	case fyne.KeyReturn, fyne.KeyEnter:
		b.Tapped(nil)
	case fyne.KeyEscape:
		toWindow(b, ev)
	default:
		b.Button.TypedKey(ev)
	}
}

// askQuestion shows the choice that a gesture left open.
func (e *Editor) askQuestion() {
	q := e.s.Question()
	if q == nil || q == e.asked {
		return
	}
	e.asked = q
	var d *dialog.CustomDialog
	answered := false
	box := container.NewVBox()
	if q.Why != "" {
		why := widget.NewLabel(e.s.Say(q.Why))
		why.Wrapping = fyne.TextWrapWord
		box.Add(container.New(&wide{420}, why))
	}
	var first fyne.Focusable
	for i, c := range q.Choices {
		b := newKeyButton(e.s.Say(c.Label), func() {
			answered = true
			d.Hide()
			e.s.Answer(i)
		})
		if i == 0 {
			b.Importance, first = widget.HighImportance, b
		}
		box.Add(b)
	}
	d = dialog.NewCustom(e.s.Say(q.Text), "No run", box, e.win)
	d.SetOnClosed(func() {
		if !answered {
			e.s.Answer(-1)
		}
		e.win.Canvas().Focus(e.board)
	})
	e.show(d)
	// The space bar takes the first answer.
	e.focusSoon(first, func() bool { return e.s.Question() == q })
}

// focusSoon takes the keyboard to a control of a dialog that a gesture opened: the
// toolkit takes the focus away behind the release.
func (e *Editor) focusSoon(f fyne.Focusable, still func() bool) {
	time.AfterFunc(60*time.Millisecond, func() {
		e.board.post(func() {
			if still() {
				e.win.Canvas().Focus(f)
			}
		})
	})
}

// askWish asks for the text that a gesture left open.
func (e *Editor) askWish() {
	w := e.s.Wish()
	if w == nil || w == e.wished {
		return
	}
	e.wished = w
	text := newLines()
	d := dialog.NewForm(w.Title, "Put it there", "Leave it", []*widget.FormItem{widget.NewFormItem("", text)}, func(ok bool) {
		e.s.Grant(text.Text, ok)
		e.win.Canvas().Focus(e.board)
	}, e.win)
	text.done = d.Submit
	d.Resize(fyne.NewSize(420, 200))
	e.show(d)
	e.win.Canvas().Focus(text)
	e.focusSoon(text, func() bool { return e.s.Wish() == w })
}

// askWhatIf offers what may go wrong at what is selected, for a hand that has no
// pointer.
func (e *Editor) askWhatIf() {
	sel := e.s.Selected()
	var faults []session.Fault
	if len(sel) == 1 && len(e.s.Doc().Operating()) > 0 {
		faults = e.s.Faults(sel[0])
	}
	if len(faults) == 0 {
		e.s.Tell(session.Plain, "Select a run, a device, a panel or the site supply of a rig with a source to see what follows from a fault there")
		return
	}
	var d *dialog.CustomDialog
	box := container.NewVBox()
	var first *keyButton
	for _, f := range faults {
		b := newKeyButton(capital(e.s.Say(f.String())), func() { d.Hide(); e.suppose(f) })
		if box.Add(b); first == nil {
			first = b
		}
	}
	d = dialog.NewCustom("What if", "Nothing fails", box, e.win)
	e.show(d)
	e.win.Canvas().Focus(first)
}

// askConnect draws a run by its two ports' names, for a hand that has no pointer.
func (e *Editor) askConnect() {
	var ports []string
	for _, p := range e.s.Doc().Parts() {
		for _, name := range p.PortNames() {
			ports = append(ports, p.Ref(name).String())
		}
	}
	if len(ports) < 2 {
		e.s.Tell(session.Wrong, "There are no two ports to connect yet")
		return
	}
	to, from := newPickList(nil), newPickList(ports)
	from.OnChanged = func(text string) {
		a, _ := components.ParsePortRef(text)
		to.Options = nil
		for _, p := range ports {
			b, _ := components.ParsePortRef(p)
			if ways, _ := session.Ways(e.s.Doc(), a, b); len(ways) > 0 {
				to.Options = append(to.Options, p)
			}
		}
		to.ClearSelected()
		to.Refresh()
	}
	if sel := e.s.SelectedParts(); len(sel) > 0 {
		from.SetSelected(sel[0].Ref(sel[0].PortNames()[0]).String())
	}
	d := dialog.NewForm("Connect two ports", "Connect", "Cancel", []*widget.FormItem{
		widget.NewFormItem("From", from), widget.NewFormItem("To", to),
	}, func(ok bool) {
		a, errA := components.ParsePortRef(from.Selected)
		b, errB := components.ParsePortRef(to.Selected)
		switch {
		case !ok:
		case errA != nil || errB != nil:
			e.s.Tell(session.Wrong, "Nothing was connected: choose both ports")
		default:
			e.s.Connect(a, b)
		}
	}, e.win)
	from.onward = func() { e.win.Canvas().Focus(to) }
	to.onward = d.Submit
	d.Resize(fyne.NewSize(380, 180))
	e.show(d)
	e.win.Canvas().Focus(from)
}
