package canvas

import (
	"fmt"
	"math"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"

	"rigline/canvas/session"
)

// buildMenu makes the main menu from the table of commands. The toolkit offers a
// shortcut to the main menu before the widget that has the focus, so these work
// wherever the focus is.
func (e *Editor) buildMenu() *fyne.MainMenu {
	e.items = map[string]*fyne.MenuItem{}
	main := fyne.NewMainMenu()
	for _, title := range menus {
		m := fyne.NewMenu(title)
		for _, c := range e.table {
			if c.menu != title {
				continue
			}
			if c.parted {
				m.Items = append(m.Items, fyne.NewMenuItemSeparator())
			}
			item := fyne.NewMenuItem(c.name, func() { e.run(c) })
			item.Shortcut = c.shortcut
			e.items[c.name] = item
			m.Items = append(m.Items, item)
			if c.name == "Open" {
				e.recent = fyne.NewMenuItem("Open recent", nil)
				m.Items = append(m.Items, e.recent)
			}
			if c.name == "Close" {
				item.IsQuit = true
			}
		}
		main.Items = append(main.Items, m)
	}
	return main
}

// run runs a command where it can be run now. Under a dialog the drawing stays as
// it is; only the shortcuts of text reach the dialog's fields.
func (e *Editor) run(c command) {
	if e.win.Canvas().Overlays().Top() != nil {
		switch c.shortcut.(type) {
		case *fyne.ShortcutCopy, *fyne.ShortcutCut, *fyne.ShortcutPaste, *fyne.ShortcutSelectAll, *fyne.ShortcutUndo, *fyne.ShortcutRedo:
			e.inText(withClipboard(c.shortcut, e.app.Clipboard()))
		}
		return
	}
	if c.can == nil || c.can(e) {
		c.run(e)
	}
}

// command finds a command by name.
func (e *Editor) command(name string) command {
	for _, c := range e.table {
		if c.name == name {
			return c
		}
	}
	return command{name: name, run: func(*Editor) {}}
}

// refreshMenu brings names, ticks and greys up to date.
func (e *Editor) refreshMenu() {
	changed := false
	for _, c := range e.table {
		item := e.items[c.name]
		label, off, on := c.name, c.can != nil && !c.can(e), c.on != nil && c.on(e)
		if c.label != nil {
			label = c.label(e)
		}
		if item.Label != label || item.Disabled != off || item.Checked != on {
			item.Label, item.Disabled, item.Checked, changed = label, off, on, true
		}
		if b := e.buttons[c.name]; b != nil {
			if off {
				b.Disable()
			} else {
				b.Enable()
			}
		}
	}
	if changed && e.menu != nil {
		e.menu.Refresh()
	}
}

// typedKey runs what a key means on the sheet.
func (e *Editor) typedKey(ev *fyne.KeyEvent) bool {
	if e.win.Canvas().Overlays().Top() != nil {
		if ev.Name == fyne.KeyEscape {
			e.dismiss()
		}
		return true
	}
	switch ev.Name {
	case fyne.KeyEscape:
		e.s.Escape()
		return true
	case fyne.KeyBackspace:
		e.run(e.command("Delete"))
		return true
	case fyne.KeyReturn, fyne.KeyEnter:
		_, placing := e.s.Tool().(*session.Place)
		switch {
		case placing:
			e.s.PlaceInView()
		case e.first.box.Visible():
			e.askQuestions() // the way to begin that is marked
		default:
			e.details.enter()
		}
		return true
	}
	if by, ok := map[fyne.KeyName][2]int{fyne.KeyLeft: {-1, 0}, fyne.KeyRight: {1, 0}, fyne.KeyUp: {0, -1}, fyne.KeyDown: {0, 1}}[ev.Name]; ok {
		n := 1
		if held()&fyne.KeyModifierShift != 0 {
			n = 5
		}
		if selectingParts(e) {
			e.s.Nudge(n*by[0], n*by[1])
		} else {
			e.s.Pan(float64(-40*n*by[0]), float64(-40*n*by[1]))
		}
		return true
	}
	for _, c := range e.table {
		if c.key != "" && c.key == ev.Name {
			e.run(c)
			return true
		}
	}
	return false
}

func (e *Editor) typedRune(r rune) bool {
	if e.win.Canvas().Overlays().Top() != nil {
		return true
	}
	for _, c := range e.table {
		if c.rune != 0 && (c.rune == r || strings.ToUpper(string(c.rune)) == string(r)) {
			e.run(c)
			return true
		}
	}
	return false
}

// contextMenu is the secondary button's menu on the sheet.
func (e *Editor) contextMenu(at fyne.Position) {
	var items []*fyne.MenuItem
	for _, name := range []string{"Cut", "Copy", "Paste", "Duplicate", "Delete", "", "Turn", "Straighten the run", "To the selection"} {
		if name == "" {
			items = append(items, fyne.NewMenuItemSeparator())
			continue
		}
		c := e.command(name)
		item := fyne.NewMenuItem(c.name, func() { e.run(c) })
		item.Disabled = c.can != nil && !c.can(e)
		items = append(items, item)
	}
	if ifs := e.whatIfs(); ifs != nil {
		items = append(items, fyne.NewMenuItemSeparator(), ifs)
	}
	widget.ShowPopUpMenuAtPosition(fyne.NewMenu("", items...), e.win.Canvas(), at)
}

// whatIfs is the menu of what may go wrong at the one thing that is selected.
func (e *Editor) whatIfs() *fyne.MenuItem {
	sel := e.s.Selected()
	if len(sel) != 1 || len(e.s.Doc().Operating()) == 0 {
		return nil
	}
	faults := e.s.Faults(sel[0])
	if len(faults) == 0 {
		return nil
	}
	sub := fyne.NewMenu("")
	for _, f := range faults {
		sub.Items = append(sub.Items, fyne.NewMenuItem(e.s.Say(f.String()), func() { e.suppose(f) }))
	}
	item := fyne.NewMenuItem("What if", nil)
	item.ChildMenu = sub
	return item
}

// suppose shows what follows from a fault: on the sheet, and in words in the details,
// which nothing that is selected takes the place of.
func (e *Editor) suppose(f session.Fault) {
	e.s.Select()
	e.s.Suppose(f)
}

// keyText is how a shortcut is told in the list of keys.
func keyText(sh fyne.Shortcut) string {
	switch s := sh.(type) {
	case *fyne.ShortcutUndo:
		return "Ctrl+Z"
	case *fyne.ShortcutRedo:
		return "Ctrl+Y"
	case *fyne.ShortcutCut:
		return "Ctrl+X"
	case *fyne.ShortcutCopy:
		return "Ctrl+C"
	case *fyne.ShortcutPaste:
		return "Ctrl+V"
	case *fyne.ShortcutSelectAll:
		return "Ctrl+A"
	case *desktop.CustomShortcut:
		text := "Ctrl+"
		if s.Modifier&fyne.KeyModifierShift != 0 {
			text += "Shift+"
		}
		return text + string(s.KeyName)
	}
	return ""
}

// bar is the command bar: the table's commands that have an icon.
func (e *Editor) bar() fyne.CanvasObject {
	e.buttons = map[string]*tipButton{}
	box := container.NewHBox()
	menu := ""
	for _, c := range e.table {
		if c.icon == nil {
			continue
		}
		if menu != "" && c.menu != menu {
			box.Add(widget.NewSeparator())
		}
		menu = c.menu
		b := newTipButton(e.tips, shortName(c.name), c.icon(), func() string { return e.tipOf(c) }, func() { e.run(c) })
		b.Importance = widget.LowImportance
		e.buttons[c.name] = b
		box.Add(b)
	}
	e.zoom = widget.NewLabel("100 %")
	box.Add(e.zoom)
	return box
}

// shortName is a command's name on its button; zooming is told by its icon.
func shortName(name string) string {
	switch name {
	case "Nearer", "Farther":
		return ""
	}
	return name
}

// percent is a zoom as the command bar tells it.
func percent(zoom float64) string { return fmt.Sprintf("%.0f %%", math.Round(zoom*100)) }
