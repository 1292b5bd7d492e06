package canvas

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// rolled is a long list behind a window that takes what room there is. How much the
// list would like is asked of the list alone: every box around it would ask again, of
// every text in it and for every picture.
func rolled(list fyne.CanvasObject) (roll *container.Scroll, box fyne.CanvasObject) {
	roll = container.NewVScroll(list)
	return roll, container.New(anySize{}, wheeled(roll))
}

// wheeled lies over a list and gives it every turn of the wheel: a text field that the
// pointer happens to be on would keep it for itself.
func wheeled(roll *container.Scroll) fyne.CanvasObject {
	w := &wheel{roll: roll}
	w.ExtendBaseWidget(w)
	return container.NewStack(roll, w)
}

// wheel takes nothing but the wheel.
type wheel struct {
	widget.BaseWidget
	roll *container.Scroll
}

// Scrolled rolls the list.
func (w *wheel) Scrolled(ev *fyne.ScrollEvent) { w.roll.Scrolled(ev) }

// CreateRenderer shows nothing.
func (w *wheel) CreateRenderer() fyne.WidgetRenderer {
	return widget.NewSimpleRenderer(container.NewWithoutLayout())
}

// anySize fills the room that there is and asks for next to none.
type anySize struct{}

// MinSize is a line or two, of any width.
func (anySize) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(32, 32) }

// Layout fills the room.
func (anySize) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	for _, o := range objects {
		o.Move(fyne.NewPos(0, 0))
		o.Resize(size)
	}
}

// resettle lays a list out anew after one of its texts has become longer or shorter.
// What the others show stays, where a refresh would draw each of them again.
func resettle(list *fyne.Container) {
	list.Layout.Layout(list.Objects, list.Size())
	list.Move(list.Position()) // the window is drawn again
}
