package canvas

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"rigline/canvas/session"
)

// strip is the state strip: one button for each state the rig can be in.
type strip struct {
	e     *Editor
	row   *fyne.Container
	names []string
	on    string
	phase *widget.Select
	box   fyne.CanvasObject
}

// phases are the stages of the retrofit by the words of the window.
var phases = []string{"Show everything", "Show before", "Show after"}

// asDrawn is the button for no state at all.
const asDrawn = "As drawn"

func newStrip(e *Editor) *strip {
	s := &strip{e: e, row: container.NewHBox()}
	s.phase = widget.NewSelect(phases, func(name string) {
		e.s.ShowPhase(session.Phase(slices.Index(phases, name)))
	})
	s.phase.SetSelected(phases[0])
	s.box = container.NewBorder(nil, nil, widget.NewLabel("State"), container.New(&wide{150}, s.phase), container.NewHScroll(s.row))
	s.refresh()
	return s
}

func (s *strip) refresh() {
	if p := phases[s.e.s.Phase()]; s.phase.Selected != p {
		s.phase.SetSelected(p)
	}
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
