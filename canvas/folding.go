package canvas

import (
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// folding adds a line of one of several alike, which opens on a click and can be
// taken out, and tells whether it is open. A line that is taken out leaves the one
// that comes into its place closed.
func (d *details) folding(key string, text func() string, remove func()) (open bool) {
	toggle := func() {
		d.open[key] = !d.open[key]
		d.refresh()
	}
	icon := theme.MenuExpandIcon()
	if d.open[key] {
		icon = theme.MenuDropDownIcon()
	}
	fold := newButton("", icon, toggle)
	fold.Importance = widget.LowImportance
	gone := newButton("", theme.DeleteIcon(), func() {
		delete(d.open, key)
		remove()
	})
	gone.Importance = widget.LowImportance
	line := newLink("", toggle)
	line.TextStyle.Bold = true
	show := func() {
		if t := text(); line.Text != t {
			line.SetText(t)
		}
	}
	show()
	d.add(&row{box: container.NewBorder(nil, nil, fold, gone, line), show: show})
	return d.open[key]
}
