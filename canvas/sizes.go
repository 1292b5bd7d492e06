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
	"rigline/rules"
	"rigline/rules/sizing"
)

// askSizes finds the sizes that are missing and offers them, each with the rule
// that decided it.
func (e *Editor) askSizes() {
	if len(e.s.Unsized()) == 0 {
		e.s.Tell(session.Plain, "Every run has its size and every device its rating")
		return
	}
	e.s.Tell(session.Plain, "Finding the smallest sizes that keep every rule …")
	e.s.SizeUnsized(func(found session.Sized, err error) {
		switch {
		case err != nil:
			e.fail(err)
		case len(found.Choices) == 0:
			e.s.Tell(session.Plain, "What has no size is there already: read it off the jacket or the device")
		default:
			e.offerSizes(found)
		}
	})
}

// offerSizes shows what was found; nothing is told before the person takes it.
func (e *Editor) offerSizes(found session.Sized) {
	e.s.Tell(session.Plain, "")
	decided, open := found.Decided()
	list := container.NewVBox()
	quiet := func(text string) {
		l := widget.NewLabel(text)
		l.Wrapping = fyne.TextWrapWord
		l.SizeName = theme.SizeNameCaptionText
		list.Add(l)
	}
	plain := func(c sizing.Choice, says string) string {
		return plainSaying(e.s.Doc(), rules.Finding{At: string(c.On), Message: says})
	}
	for _, c := range decided {
		text := fmt.Sprintf("%s  %s", c.On, c.To)
		if m, ok := found.MadeOf(c); ok {
			text += ", " + m.Title
		}
		name := newText(text, theme.ColorNameForeground)
		name.bold = true
		list.Add(container.NewPadded(name))
		if c.Beside != "" {
			quiet(fmt.Sprintf("As %s, with which it goes: no rule asks for more than the smallest that is laid", c.Beside))
		} else {
			quiet("One smaller: " + plain(c, c.Says))
		}
		if len(c.Waiting) > 0 {
			quiet("Not held to every rule yet: " + plain(c, c.Waiting[0]))
		}
	}
	if len(open) > 0 {
		names := make([]string, len(open))
		var why []string
		seen := map[string]bool{}
		for i, c := range open {
			names[i] = string(c.On)
			for _, w := range c.Waiting {
				if !seen[w] {
					seen[w] = true
					why = append(why, w)
				}
			}
		}
		list.Add(widget.NewSeparator())
		l := widget.NewLabel("No rule decides yet: " + strings.Join(names, ", "))
		l.Wrapping = fyne.TextWrapWord
		list.Add(l)
		quiet(strings.Join(why, "\n"))
	}
	roll := container.NewVScroll(besideBar(list))
	size := fyne.NewSize(600, min(520, e.win.Canvas().Size().Height-60))
	if len(decided) == 0 {
		d := dialog.NewCustom("Missing sizes", "Close", roll, e.win)
		d.Resize(size)
		e.show(d)
		return
	}
	d := dialog.NewCustomConfirm(fmt.Sprintf("The smallest that keep the rules: %d of %d", len(decided), len(found.Choices)), "Take these sizes", "Leave it", roll, func(ok bool) {
		if ok {
			_ = e.s.TakeSizes(found)
		}
	}, e.win)
	d.Resize(size)
	e.show(d)
}
