// Package canvas is the editor's window: the sheet, the shelf, the details and the
// findings, and the table of commands. It shows a session and tells it what the
// person does; what that means is decided there.
package canvas

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/widget"

	"rigline/canvas/session"
	"rigline/rules"
)

// Editor is one window on one session.
type Editor struct {
	app fyne.App
	win fyne.Window
	s   *session.Session

	table   []command
	menu    *fyne.MainMenu
	items   map[string]*fyne.MenuItem
	recent  *fyne.MenuItem
	buttons map[string]*tipButton
	tips    *tips
	zoom    *widget.Label
	asked   *session.Question
	wished  *session.Wish
	dialogs []dialog.Dialog // open, the uppermost last

	board       *Board
	shelf       *shelf
	strip       *strip
	details     *details
	gaps        *gaps
	findings    *findings
	readiness   *readiness
	backups     *backups
	first       *first
	splits      splits
	widths      *widths
	columns     *fyne.Container
	drawing     bool   // a first sheet, behind the window
	missingNext bool   // and the list of what is missing is wanted then
	proof       *proof // the checklist, once it was opened

	// Closing is called when the window closes for good, with everything kept.
	Closing func()

	// HandOff writes the hand-off of a project's file into a folder, and tells in a
	// line what it wrote. It is set by the program, since the window knows neither
	// drawing formats nor lists.
	HandOff func(file, folder string) (told string, err error)
}

// New makes the window of an app. Post brings late results to the goroutine of the
// window; book is the rules.
func New(app fyne.App, post func(func()), book []*rules.Rule) *Editor {
	e := &Editor{app: app, s: session.New(post, book), table: commands()}
	app.Settings().SetTheme(NewTheme(e.look()))
	e.win = app.NewWindow("rigline")
	e.board = NewBoard(e.s, post)
	e.board.key, e.board.rune, e.board.menu = e.typedKey, e.typedRune, e.contextMenu
	e.board.wheel = func() bool { return !e.wheelPans() }
	e.board.twice = func() { e.details.enter() }
	e.tips = newTips(e)
	bar := e.bar()
	e.menu = e.buildMenu()
	e.shelf, e.strip, e.details, e.findings, e.readiness = newShelf(e), newStrip(e), newDetails(e), newFindings(e), newReadiness(e)
	e.gaps = newGaps(e)

	right := container.NewVSplit(container.New(&atLeast{leastDetails}, e.gaps.place), e.findings.box)
	e.first = newFirst(e)
	inner := container.NewHSplit(container.NewStack(e.board, e.first.box), right)
	outer := container.NewHSplit(container.New(&atLeast{leastShelf}, e.shelf.box), inner)
	e.splits = splits{outer, inner, right}
	e.widths = &widths{s: &e.splits, shelf: leastShelf, details: leastDetails}
	e.columns = container.New(e.widths, outer)
	top := container.NewVBox(container.NewHScroll(bar), e.strip.box, widget.NewSeparator())
	e.win.SetContent(container.NewStack(container.NewBorder(top, e.readiness.box, nil, nil, e.columns), e.tips.layer))
	e.win.SetMainMenu(e.menu)
	e.win.SetPadded(false)
	e.win.SetCloseIntercept(e.askClose)
	e.win.SetOnDropped(e.dropped)
	app.Lifecycle().SetOnEnteredForeground(e.cameBack)
	e.win.Canvas().SetOnTypedKey(func(ev *fyne.KeyEvent) { e.typedKey(ev) })
	e.win.Canvas().AddShortcut(ctrlShift(fyne.KeyZ), func(fyne.Shortcut) { e.redo() })
	e.win.Canvas().SetOnTypedRune(func(r rune) { e.typedRune(r) })
	e.win.Resize(e.remembered())
	e.setSplits(e.remembered())
	app.Lifecycle().SetOnExitedForeground(e.rememberSizes)
	e.s.Watch(e.changed)
	app.Settings().AddListener(func(fyne.Settings) { e.changed(session.CheckedChanged) })
	e.changed(session.DocChanged | session.FileChanged)
	return e
}

// Metadata is what the toolkit is told of a program before its app is made. Everything
// that touches the window comes to its goroutine through post, so that the toolkit need
// not look at every touch whose goroutine it is on, which is a tenth of an edit's time.
func Metadata(name string) fyne.AppMetadata {
	return fyne.AppMetadata{ID: name, Name: name, Migrations: map[string]bool{"fyneDo": true}}
}

// Window is the window, to be shown and run.
func (e *Editor) Window() fyne.Window { return e.win }

// Session is what the window shows.
func (e *Editor) Session() *session.Session { return e.s }

// AwaitFindings lets an edit of a small rig wait for its findings for most of a frame,
// so that both are one picture. A test takes them one after the other.
func (e *Editor) AwaitFindings() { e.s.Patience(session.Frame) }

// changed brings up to date what a change of the session touches.
func (e *Editor) changed(c session.Change) {
	if c&(session.DocChanged|session.SelectionChanged|session.CheckedChanged) != 0 {
		e.details.refresh()
	}
	if c&(session.DocChanged|session.CheckedChanged) != 0 {
		e.strip.refresh()
		e.findings.refresh()
		e.gaps.refresh()
	}
	if c&session.SelectionChanged != 0 {
		e.findings.reselected()
	}
	if c&(session.DocChanged|session.CheckedChanged|session.ToldChanged) != 0 {
		e.readiness.refresh()
	}
	if c&(session.DocChanged|session.SelectionChanged|session.FileChanged) != 0 {
		e.refreshMenu()
		e.win.SetTitle(e.s.Name() + " – rigline")
	}
	if c&(session.ViewChanged) != 0 {
		e.zoom.SetText(percent(e.s.View.Zoom))
	}
	if c&session.FindingWanted != 0 {
		e.gaps.giveWay()
		e.findings.bring(e.s.Wanted())
	}
	if c&session.FigureWanted != 0 {
		if !e.gaps.box.Visible() || !e.gaps.find(e.s.Missed()) {
			e.gaps.hide()
			e.details.enterMissing(e.s.Missed())
		}
	}
	if c&(session.DocChanged|session.PreviewChanged|session.FileChanged) != 0 {
		e.first.refresh()
	}
	if c&session.PreviewChanged != 0 {
		e.shelf.refresh()
		e.askQuestion()
		e.askWish()
	}
}

// onBoard takes a place in the window to the sheet's widget.
func (e *Editor) onBoard(at fyne.Position) (fyne.Position, bool) {
	at = at.Subtract(e.app.Driver().AbsolutePositionForObject(e.board))
	size := e.board.Size()
	return at, at.X >= 0 && at.Y >= 0 && at.X < size.Width && at.Y < size.Height
}
