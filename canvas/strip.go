package canvas

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"rigline/canvas/session"
)

// strip is the state strip: one button for each state the rig can be in.
type strip struct {
	e     *Editor
	row   *fyne.Container
	names []string
	on    string
	phase *pickList
	shade *pickList
	what  *widget.Button  // the what-if that is shown; it ends it
	line  *fyne.Container // the what-if and the states
	box   fyne.CanvasObject
}

// phases are the stages of the retrofit by the words of the window.
var phases = []string{"Show everything", "Show before", "Show after"}

// asDrawn is the button for no state at all.
const asDrawn = "As drawn"

func newStrip(e *Editor) *strip {
	s := &strip{e: e, row: container.NewHBox()}
	s.phase = newPickListOf(phases, func(name string) {
		e.s.ShowPhase(session.Phase(slices.Index(phases, name)))
	})
	s.phase.SetSelected(phases[0])
	s.shade = newPickListOf(shadings, func(name string) {
		e.board.shade = shading(slices.Index(shadings, name))
		e.board.Refresh()
	})
	s.shade.SetSelected(shadings[0])
	s.shade.Hide()
	s.what = widget.NewButtonWithIcon("", theme.CancelIcon(), func() { e.s.Suppose(session.Fault{}) })
	s.what.Importance = widget.DangerImportance
	s.what.Hide()
	right := container.NewHBox(container.New(&wide{180}, s.shade), container.New(&wide{150}, s.phase))
	s.line = container.NewBorder(nil, nil, s.what, nil, container.NewHScroll(s.row))
	s.box = container.NewBorder(nil, nil, widget.NewLabel("State"), right, s.line)
	s.refresh()
	return s
}

func (s *strip) refresh() {
	if p := phases[s.e.s.Phase()]; s.phase.Selected != p {
		s.phase.SetSelected(p)
	}
	on := s.e.s.State()
	shown(s.shade, on != "")
	f := s.e.s.Supposed()
	if on := f.What != session.NoMishap; on != s.what.Visible() {
		shown(s.what, on)
		s.line.Refresh() // the states move up
	}
	if text := "What if " + s.e.s.Say(f.String()) + "? End it"; f.What != session.NoMishap && s.what.Text != text {
		s.what.SetText(text)
	}
	names, states := []string{asDrawn}, []string{""}
	for _, st := range s.e.s.Doc().Operating() {
		names, states = append(names, s.e.s.Say(st.Name)), append(states, st.Name)
	}
	if slices.Equal(names, s.names) && on == s.on {
		return
	}
	s.names, s.on = names, on
	s.row.RemoveAll()
	for i, name := range names {
		state := states[i]
		says := func() string {
			if state == "" {
				return "Show the rig as it is drawn, in no state"
			}
			return s.e.s.Say("Show what is live in the state " + state + ", with currents and voltages, and where neutral meets ground")
		}
		b := newTipButton(s.e.tips, name, nil, says, func() { s.e.s.ChooseState(state) })
		if state == on {
			b.Importance = widget.HighImportance
		}
		s.row.Add(b)
	}
	s.row.Refresh()
}

// shown shows or hides something where it is not so already.
func shown(o fyne.CanvasObject, yes bool) {
	switch {
	case yes && !o.Visible():
		o.Show()
	case !yes && o.Visible():
		o.Hide()
	}
}
