package canvas

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"rigline/canvas/session"
)

// usualDC is how many of the main loads on battery voltage stand ticked at first.
const usualDC = 3

// askQuestions draws a first sheet from a few answers.
func (e *Editor) askQuestions() {
	chosen := make([]int, len(questions))
	lists := make([]*pickList, len(questions))
	form := widget.NewForm()
	again := func() { // greys what means nothing
		_, asked := answersOf(chosen)
		for i, l := range lists {
			switch {
			case l == nil || asked[i] != l.Disabled():
			case asked[i]:
				l.Enable()
			default:
				l.Disable()
			}
		}
		form.Refresh() // the titles are greyed too
	}
	var ac, dc []*widget.Check
	for i, q := range questions {
		var words []string
		for _, a := range q.answers {
			words = append(words, a.words)
		}
		list := newPickList(words)
		list.SetSelectedIndex(q.usual)
		chosen[i] = q.usual
		list.OnChanged = func(string) { chosen[i] = max(0, list.SelectedIndex()); again() }
		lists[i] = list
		if q.ask == asksDC {
			box := container.NewGridWithColumns(3)
			for k, l := range session.DCAppliances {
				c := widget.NewCheck(l.Name, nil)
				c.Checked = k < usualDC
				dc = append(dc, c)
				box.Add(c)
			}
			form.Append("DC loads", box)
		}
		form.Append(q.ask, list)
		if q.ask == asksOutlets {
			box := container.NewGridWithColumns(3)
			for _, l := range session.Appliances {
				c := widget.NewCheck(l.Name, nil)
				ac = append(ac, c)
				box.Add(c)
			}
			form.Append("AC loads", box)
		}
	}
	again()
	says := newText("What you do not know yet stays open and is said on the sheet.", theme.ColorNamePlaceHolder)
	form.Append("", says)
	d := dialog.NewCustomConfirm("What is in the rig?", "Draw it", "Cancel", container.NewVScroll(besideBar(form)), func(ok bool) {
		if ok {
			e.drawFirst(chosen, ticked(ac, session.Appliances), ticked(dc, session.DCAppliances))
		}
	}, e.win)
	size := e.win.Canvas().Size()
	d.Resize(fyne.NewSize(min(680, size.Width-40), min(730, size.Height-10)))
	e.show(d)
	e.win.Canvas().Focus(lists[0])
}

// ticked are those of some things whose boxes are ticked.
func ticked[T any](boxes []*widget.Check, of []T) (all []T) {
	for i, b := range boxes {
		if b.Checked {
			all = append(all, of[i])
		}
	}
	return all
}

// drawFirst draws the sheet behind the window: its sizes are held to every rule.
func (e *Editor) drawFirst(chosen []int, ac []session.Appliance, dc []session.DCAppliance) {
	a, _ := answersOf(chosen)
	a.Main, a.DCMain = ac, dc
	if !hasAC(a) {
		a.Main = nil
	}
	e.s.Tell(session.Plain, "Drawing …")
	e.drawing, e.missingNext = true, false
	e.refreshMenu()
	before := e.s.Doc()
	go func() {
		doc, err := e.s.FirstSheet(a)
		e.board.post(func() {
			e.drawing = false
			e.refreshMenu()
			switch {
			case err != nil:
				e.fail(err)
			case e.s.Doc() != before:
				e.s.Tell(session.Wrong, "The rig has changed meanwhile; nothing was drawn")
			default:
				e.s.Start(doc)
				e.s.Tell(session.Plain, "Drawn. Next: Tell what is missing")
				if e.missingNext {
					e.gaps.show()
				}
			}
		})
	}()
}

// tellMissing opens the list of what is missing, and while a first sheet is still
// being drawn, as soon as it is there.
func (e *Editor) tellMissing() {
	if e.drawing {
		e.missingNext = true
		e.s.Tell(session.Plain, "Drawing …, then what is missing")
		return
	}
	e.gaps.show()
}
