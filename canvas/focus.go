package canvas

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// nextColumn takes the keyboard from column to column: shelf, sheet, details,
// findings.
func (e *Editor) nextColumn() {
	c := e.win.Canvas()
	columns := []fyne.CanvasObject{e.shelf.box, e.board, e.details.box, e.findings.box}
	if e.gaps.box.Visible() {
		columns[2] = e.gaps.list
	}
	now := -1
	if f, ok := c.Focused().(fyne.CanvasObject); ok {
		at := e.app.Driver().AbsolutePositionForObject(f)
		for i, o := range columns {
			from, size := e.app.Driver().AbsolutePositionForObject(o), o.Size()
			if at.X >= from.X && at.Y >= from.Y && at.X < from.X+size.Width && at.Y < from.Y+size.Height {
				now = i
			}
		}
	}
	for step := 1; step <= len(columns); step++ {
		if f := firstFocus(columns[(now+step+len(columns))%len(columns)]); f != nil {
			c.Focus(f)
			return
		}
	}
}

// firstFocus is the first thing in a column that the keyboard can work.
func firstFocus(o fyne.CanvasObject) fyne.Focusable {
	if o == nil || !o.Visible() {
		return nil
	}
	if f, ok := o.(fyne.Focusable); ok {
		if d, ok := o.(fyne.Disableable); !ok || !d.Disabled() {
			return f
		}
	}
	for _, child := range inside(o) {
		if f := firstFocus(child); f != nil {
			return f
		}
	}
	return nil
}

func inside(o fyne.CanvasObject) []fyne.CanvasObject {
	switch o := o.(type) {
	case *fyne.Container:
		return o.Objects
	case *container.Scroll:
		return []fyne.CanvasObject{o.Content}
	case *container.Split:
		return []fyne.CanvasObject{o.Leading, o.Trailing}
	case *widget.PopUp:
		return []fyne.CanvasObject{o.Content}
	case *widget.Form:
		var all []fyne.CanvasObject
		for _, item := range o.Items {
			all = append(all, item.Widget)
		}
		return all
	}
	return nil
}
