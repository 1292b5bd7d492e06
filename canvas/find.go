package canvas

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/widget"

	"rigline/canvas/session"
)

// finder runs any command by a few letters of its name, for a hand that has no
// pointer: what has a key of its own, and what has none. It goes to a part or a run by
// its tag.
type finder struct {
	e     *Editor
	typed *findEntry
	list  *fyne.Container
	roll  *container.Scroll
	d     dialog.Dialog
	all   []found
	lines []*order // those that fit what is typed, mostLines of them
	at    int      // the one that the return key takes
}

// found is one thing that can be done, under the name that it is found by.
type found struct {
	name string
	do   func()
}

// findEntry is the line that is typed in; the arrow keys go through the list.
type findEntry struct {
	widget.Entry
	move func(by int)
}

// TypedKey leaves the arrow keys to the list.
func (f *findEntry) TypedKey(ev *fyne.KeyEvent) {
	switch ev.Name {
	case fyne.KeyDown:
		f.move(1)
	case fyne.KeyUp:
		f.move(-1)
	case fyne.KeyEscape:
		if c := fyne.CurrentApp().Driver().CanvasForObject(f); c != nil && c.OnTypedKey() != nil {
			c.OnTypedKey()(ev)
		}
	default:
		f.Entry.TypedKey(ev)
	}
}

// doable is all that can be done now.
func (e *Editor) doable() []found {
	var all []found
	for _, c := range e.table {
		if c.name == findCommand || c.can != nil && !c.can(e) {
			continue
		}
		name := c.name
		if c.label != nil {
			name = c.label(e)
		}
		if keys := keyText(c.shortcut); keys != "" {
			name += "   " + keys
		}
		all = append(all, found{c.menu + ": " + name, func() { e.run(c) }})
	}
	for i, name := range phases {
		all = append(all, found{"Sheet: " + name, func() { e.s.ShowPhase(session.Phase(i)) }})
	}
	all = append(all, found{"State: " + asDrawn, func() { e.s.ChooseState("") }})
	for _, st := range e.s.Doc().Operating() {
		all = append(all, found{"State: " + e.s.Say(st.Name), func() { e.s.ChooseState(st.Name) }})
	}
	for _, path := range e.app.Preferences().StringList(prefRecent) {
		all = append(all, found{"File: Open recent " + filepath.Base(path) + " in " + filepath.Dir(path), func() { e.guarded(func() { e.open(path) }) }})
	}
	for _, p := range e.s.Doc().Parts() {
		name := fmt.Sprintf("Part: %s  %s", p.ID, e.s.Say(p.Kind.Title))
		if p.Name != "" {
			name += ", " + p.Name
		}
		all = append(all, found{name, func() { e.s.GoTo(string(p.ID)) }})
	}
	for _, r := range e.s.Doc().Runs() {
		all = append(all, found{fmt.Sprintf("Run: %s  %s to %s", r.ID, r.From, r.To), func() { e.s.GoTo(string(r.ID)) }})
	}
	return all
}

// mostLines is how many lines are shown at once; more letters bring the others.
const mostLines = 60

// askCommand opens the list.
func (e *Editor) askCommand() *finder {
	f := &finder{e: e, typed: &findEntry{}, list: container.NewVBox(), all: e.doable()}
	f.typed.ExtendBaseWidget(f.typed)
	f.typed.SetPlaceHolder("A few letters of what is to be done, or a tag as F1")
	f.typed.OnChanged = func(string) { f.fill() }
	f.typed.OnSubmitted = func(string) {
		if f.at < len(f.lines) {
			f.lines[f.at].tapped()
		}
	}
	f.typed.move = f.move
	f.roll = container.NewVScroll(besideBar(f.list))
	f.fill()
	f.d = dialog.NewCustom(findCommand, "Close", container.NewBorder(f.typed, nil, nil, nil, f.roll), e.win)
	f.d.Resize(fyne.NewSize(520, min(520, e.win.Canvas().Size().Height-60)))
	e.show(f.d)
	e.win.Canvas().Focus(f.typed)
	return f
}

// fill lists what fits all the words that are typed.
func (f *finder) fill() {
	f.list.RemoveAll()
	f.lines, f.at = nil, 0
	words := strings.Fields(strings.ToLower(f.typed.Text))
	more := 0
	for _, c := range f.all {
		name := strings.ToLower(c.name)
		if slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(name, w) }) {
			continue
		}
		if len(f.lines) == mostLines {
			more++
			continue
		}
		o := newOrder(c.name, func() {
			f.d.Hide()
			f.e.win.Canvas().Focus(f.e.board)
			c.do()
		})
		o.plain = true
		f.lines = append(f.lines, o)
		f.list.Add(o)
	}
	switch {
	case len(f.lines) == 0:
		f.list.Add(widget.NewLabel("Nothing is called that"))
	case more > 0:
		f.list.Add(widget.NewLabel(fmt.Sprintf("and %d more: type on", more)))
	}
	f.list.Refresh()
	f.roll.ScrollToTop()
	f.move(0)
}

// move marks another line of the list.
func (f *finder) move(by int) {
	if len(f.lines) == 0 {
		return
	}
	f.lines[f.at].over = false
	f.lines[f.at].Refresh()
	f.at = (f.at + by + len(f.lines)) % len(f.lines)
	o := f.lines[f.at]
	o.over = true
	o.Refresh()
	switch y, h := o.Position().Y, o.Size().Height; {
	case y < f.roll.Offset.Y:
		f.roll.ScrollToOffset(fyne.NewPos(0, y))
	case y+h > f.roll.Offset.Y+f.roll.Size().Height:
		f.roll.ScrollToOffset(fyne.NewPos(0, y+h-f.roll.Size().Height))
	}
}
