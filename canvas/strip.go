package canvas

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// strip is the state strip: one button for each state the rig can be in.
type strip struct {
	e     *Editor
	row   *fyne.Container
	names []string
	on    string
	box   fyne.CanvasObject
}

// asDrawn is the button for no state at all.
const asDrawn = "As drawn"

func newStrip(e *Editor) *strip {
	s := &strip{e: e, row: container.NewHBox()}
	s.box = container.NewBorder(nil, nil, widget.NewLabel("State"), nil, container.NewHScroll(s.row))
	s.refresh()
	return s
}

func (s *strip) refresh() {
	names := []string{asDrawn}
	for _, st := range s.e.s.Doc().Operating() {
		names = append(names, st.Name)
	}
	on := s.e.s.State()
	if slices.Equal(names, s.names) && on == s.on {
		return
	}
	s.names, s.on = names, on
	s.row.RemoveAll()
	for i, name := range names {
		state := name
		if i == 0 {
			state = ""
		}
		b := widget.NewButton(name, func() { s.e.s.ChooseState(state) })
		if state == on {
			b.Importance = widget.HighImportance
		}
		s.row.Add(b)
	}
	s.row.Refresh()
}
