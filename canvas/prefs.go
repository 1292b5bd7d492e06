package canvas

// Preferences that last from one day to the next.
const (
	prefLook     = "look"
	prefWheel    = "wheel-pans"
	prefCautions = "cautions-seen"
	prefRecent   = "recent"
)

func (e *Editor) look() Look { return Look(e.app.Preferences().String(prefLook)) }

func (e *Editor) setLook(l Look) {
	e.app.Preferences().SetString(prefLook, string(l))
	e.app.Settings().SetTheme(NewTheme(l))
	e.refreshMenu()
	e.board.Refresh()
}

func (e *Editor) wheelPans() bool { return e.app.Preferences().Bool(prefWheel) }

func (e *Editor) switchWheel() {
	e.app.Preferences().SetBool(prefWheel, !e.wheelPans())
	e.refreshMenu()
}
