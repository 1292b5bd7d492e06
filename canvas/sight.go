package canvas

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// intoSight rolls the list that something stands in until it is seen whole, with what
// stands around it: the tab key goes from field to field past the edge of the window.
func intoSight(o fyne.CanvasObject) {
	driver := fyne.CurrentApp().Driver()
	c := driver.CanvasForObject(o)
	if c == nil {
		return
	}
	root := c.Content()
	if top := c.Overlays().Top(); top != nil {
		root = top
	}
	roll := rollOf(root, o, nil)
	if roll == nil {
		return
	}
	const rim = 40
	y := driver.AbsolutePositionForObject(o).Y - driver.AbsolutePositionForObject(roll.Content).Y
	h, top, high := o.Size().Height, roll.Offset.Y, roll.Size().Height
	switch {
	case y < top:
		roll.ScrollToOffset(fyne.NewPos(0, max(0, y-rim)))
	case y+h > top+high:
		roll.ScrollToOffset(fyne.NewPos(0, max(0, min(y-2, y+h+rim-high))))
	}
}

// rollOf is the innermost list that rolls around something within a tree, nil for none.
func rollOf(tree, o fyne.CanvasObject, roll *container.Scroll) *container.Scroll {
	if tree == o {
		return roll
	}
	if s, ok := tree.(*container.Scroll); ok {
		roll = s
	}
	for _, child := range inside(tree) {
		if found := rollOf(child, o, roll); found != nil {
			return found
		}
	}
	return nil
}

// button is a button of a list that rolls.
type button struct{ widget.Button }

func newButton(text string, icon fyne.Resource, tapped func()) *button {
	b := &button{}
	b.Text, b.Icon, b.OnTapped = text, icon, tapped
	b.ExtendBaseWidget(b)
	return b
}

// FocusGained brings it into sight.
func (b *button) FocusGained() {
	b.Button.FocusGained()
	intoSight(b)
}
