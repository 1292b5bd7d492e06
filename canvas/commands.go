package canvas

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/theme"

	"rigline/canvas/session"
)

// command is one thing that the window can be told to do. Menus, the command bar,
// the keys and the list of keys all come from this table.
type command struct {
	name     string
	menu     string
	icon     func() fyne.Resource // in the command bar, nil for not there
	shortcut fyne.Shortcut        // works wherever the focus is
	key      fyne.KeyName         // on the sheet, and where nothing has the focus
	rune     rune                 // the same, by letter
	run      func(e *Editor)
	can      func(e *Editor) bool   // nil: always
	label    func(e *Editor) string // nil: name
	on       func(e *Editor) bool   // for a command that is a switch
	parted   bool                   // a line above it in its menu
}

func ctrl(key fyne.KeyName) fyne.Shortcut {
	return &desktop.CustomShortcut{KeyName: key, Modifier: fyne.KeyModifierShortcutDefault}
}

func ctrlShift(key fyne.KeyName) fyne.Shortcut {
	return &desktop.CustomShortcut{KeyName: key, Modifier: fyne.KeyModifierShortcutDefault | fyne.KeyModifierShift}
}

func icon(name fyne.ThemeIconName) func() fyne.Resource {
	return func() fyne.Resource { return theme.Icon(name) }
}

// findCommand is the one that finds the others.
const findCommand = "Find a command, a part or a run"

// menus is the order of the menus.
var menus = []string{"File", "Edit", "Arrange", "View", "Help"}

func selecting(e *Editor) bool      { return len(e.s.Selected()) > 0 }
func selectingParts(e *Editor) bool { return len(e.s.SelectedParts()) > 0 }

func (e *Editor) allPinned() bool {
	for _, p := range e.s.SelectedParts() {
		if !e.s.Pinned(p.ID) {
			return false
		}
	}
	return selectingParts(e)
}

// commands is every command, in the order of the menus.
func commands() []command {
	return []command{
		{menu: "File", name: "New", icon: icon(theme.IconNameDocumentCreate), shortcut: ctrl(fyne.KeyN), run: (*Editor).askNew},
		{menu: "File", name: "Open", icon: icon(theme.IconNameFolderOpen), shortcut: ctrl(fyne.KeyO), run: (*Editor).askOpen},
		{menu: "File", name: "Save", icon: icon(theme.IconNameDocumentSave), shortcut: ctrl(fyne.KeyS), run: func(e *Editor) { e.save(nil) }, parted: true},
		{menu: "File", name: "Save as", shortcut: ctrlShift(fyne.KeyS), run: func(e *Editor) { e.saveAs(nil) }},
		{menu: "File", name: "Write the hand-off", shortcut: ctrl(fyne.KeyE), run: (*Editor).askHandOff, can: func(e *Editor) bool { return e.HandOff != nil }, parted: true},
		{menu: "File", name: "Close", shortcut: ctrl(fyne.KeyQ), run: (*Editor).askClose, parted: true},

		{menu: "Edit", name: "Undo", icon: icon(theme.IconNameContentUndo), shortcut: &fyne.ShortcutUndo{}, run: (*Editor).undo,
			label: func(e *Editor) string { return step("Undo", e.s.UndoLabel()) }, can: func(e *Editor) bool { return e.s.UndoLabel() != "" }},
		{menu: "Edit", name: "Redo", icon: icon(theme.IconNameContentRedo), shortcut: &fyne.ShortcutRedo{}, run: (*Editor).redo,
			label: func(e *Editor) string { return step("Redo", e.s.RedoLabel()) }, can: func(e *Editor) bool { return e.s.RedoLabel() != "" }},
		{menu: "Edit", name: "Cut", shortcut: &fyne.ShortcutCut{}, run: (*Editor).cut, parted: true},
		{menu: "Edit", name: "Copy", shortcut: &fyne.ShortcutCopy{}, run: (*Editor).copy},
		{menu: "Edit", name: "Paste", shortcut: &fyne.ShortcutPaste{}, run: (*Editor).paste},
		{menu: "Edit", name: "Duplicate", icon: icon(theme.IconNameContentCopy), shortcut: ctrl(fyne.KeyD), run: func(e *Editor) { e.s.Duplicate() }, can: selectingParts},
		{menu: "Edit", name: "Delete", icon: icon(theme.IconNameDelete), shortcut: ctrl(fyne.KeyDelete), key: fyne.KeyDelete, run: func(e *Editor) { e.s.Delete() }, can: selecting},
		{menu: "Edit", name: "Select all", shortcut: &fyne.ShortcutSelectAll{}, run: (*Editor).selectAll, parted: true},
		{menu: "Edit", name: "Select the next part", rune: 'n', run: func(e *Editor) { e.s.Step(1) }},
		{menu: "Edit", name: "Select the part before", rune: 'p', run: func(e *Editor) { e.s.Step(-1) }},
		{menu: "Edit", name: "Tell what is missing", icon: icon(theme.IconNameQuestion), shortcut: ctrl(fyne.KeyM), run: (*Editor).tellMissing,
			can: func(e *Editor) bool { return e.drawing || len(e.s.Doc().Parts()) > 0 }, parted: true},
		{menu: "Edit", name: "Size what has no size", run: (*Editor).askSizes, can: func(e *Editor) bool { return len(e.s.Doc().Runs()) > 0 }},
		{menu: "Edit", name: "Add a note", run: func(e *Editor) { e.s.Take(&session.Markup{Form: "note"}) }, parted: true},
		{menu: "Edit", name: "Add a cloud", run: func(e *Editor) { e.s.Take(&session.Markup{Form: "cloud"}) }},
		{menu: "Edit", name: "Add an arrow", run: func(e *Editor) { e.s.Take(&session.Markup{Form: "arrow"}) }},
		{menu: "Edit", name: "Connect two ports", shortcut: ctrl(fyne.KeyK), run: (*Editor).askConnect},

		{menu: "Arrange", name: "Turn", icon: icon(theme.IconNameViewRefresh), shortcut: ctrl(fyne.KeyR), rune: 'r', run: func(e *Editor) { e.s.Turn() }, can: selectingParts},
		{menu: "Arrange", name: "Align left edges", run: func(e *Editor) { e.s.Align(session.Lefts) }, can: selectingParts, parted: true},
		{menu: "Arrange", name: "Align one above the other", run: func(e *Editor) { e.s.Align(session.Middles) }, can: selectingParts},
		{menu: "Arrange", name: "Align right edges", run: func(e *Editor) { e.s.Align(session.Rights) }, can: selectingParts},
		{menu: "Arrange", name: "Align top edges", run: func(e *Editor) { e.s.Align(session.Tops) }, can: selectingParts},
		{menu: "Arrange", name: "Align side by side", run: func(e *Editor) { e.s.Align(session.Centres) }, can: selectingParts},
		{menu: "Arrange", name: "Align bottom edges", run: func(e *Editor) { e.s.Align(session.Bottoms) }, can: selectingParts},
		{menu: "Arrange", name: "Space evenly across", run: func(e *Editor) { e.s.Distribute(true) }, can: selectingParts, parted: true},
		{menu: "Arrange", name: "Space evenly down", run: func(e *Editor) { e.s.Distribute(false) }, can: selectingParts},
		{menu: "Arrange", name: "Tidy the sheet", run: func(e *Editor) { e.s.Tidy() }, parted: true},
		{menu: "Arrange", name: "Tidy the selected parts", run: func(e *Editor) { e.s.TidySelected() }, can: selectingParts},
		{menu: "Arrange", name: "Pin in place", run: func(e *Editor) { e.s.Pin() }, can: selectingParts, on: (*Editor).allPinned},
		{menu: "Arrange", name: "Straighten the run", run: func(e *Editor) { e.s.Straighten() }, can: selecting},

		{menu: "View", name: "Whole sheet", icon: icon(theme.IconNameViewZoomFit), shortcut: ctrl(fyne.Key0), rune: 'f', run: func(e *Editor) { e.s.Fit() }},
		{menu: "View", name: "Full size, 100 %", shortcut: ctrl(fyne.Key1), rune: '1', run: func(e *Editor) { e.s.ZoomTo(1) }},
		{menu: "View", name: "To the selection", shortcut: ctrl(fyne.Key2), rune: '2', run: func(e *Editor) { e.s.FitSelection() }},
		{menu: "View", name: "Nearer", icon: icon(theme.IconNameViewZoomIn), shortcut: ctrl(fyne.KeyEqual), rune: '+', run: func(e *Editor) { e.s.ZoomTo(e.s.View.Zoom * session.ZoomStep) }},
		{menu: "View", name: "Farther", icon: icon(theme.IconNameViewZoomOut), shortcut: ctrl(fyne.KeyMinus), rune: '-', run: func(e *Editor) { e.s.ZoomTo(e.s.View.Zoom / session.ZoomStep) }},
		{menu: "View", name: "What if it fails", shortcut: ctrl(fyne.KeyW), run: (*Editor).askWhatIf, can: selecting, parted: true},
		{menu: "View", name: "Checklist and readings", shortcut: ctrl(fyne.KeyL), run: (*Editor).showProof, can: func(e *Editor) bool { return len(e.s.Doc().Parts()) > 0 }, parted: true},
		{menu: "View", name: "Next finding", shortcut: ctrl(fyne.KeyF8), key: fyne.KeyF8, run: func(e *Editor) { e.s.StepFinding(1) }, parted: true},
		{menu: "View", name: "Finding before", shortcut: ctrl(fyne.KeyF7), key: fyne.KeyF7, run: func(e *Editor) { e.s.StepFinding(-1) }},
		{menu: "View", name: "Do the finding's first repair", shortcut: ctrl(fyne.KeyF9), key: fyne.KeyF9, run: func(e *Editor) { e.s.RepairFirst() }},
		{menu: "View", name: "To the next column", shortcut: ctrl(fyne.KeyF6), key: fyne.KeyF6, run: (*Editor).nextColumn},
		{menu: "View", name: "The wheel pans instead of zooming", run: (*Editor).switchWheel, on: func(e *Editor) bool { return e.wheelPans() }, parted: true},
		{menu: "View", name: "Colours as the system's", run: func(e *Editor) { e.setLook(AsSystem) }, on: func(e *Editor) bool { return e.look() == AsSystem }, parted: true},
		{menu: "View", name: "Colours for light", run: func(e *Editor) { e.setLook(Light) }, on: func(e *Editor) bool { return e.look() == Light }},
		{menu: "View", name: "Colours for dark", run: func(e *Editor) { e.setLook(Dark) }, on: func(e *Editor) bool { return e.look() == Dark }},

		{menu: "Help", name: findCommand, shortcut: ctrl(fyne.KeyF), run: func(e *Editor) { e.askCommand() }},
		{menu: "Help", name: "Cautions", run: (*Editor).showCautions},
		{menu: "Help", name: "Keys and pointer", shortcut: ctrl(fyne.KeySlash), key: fyne.KeyF1, run: (*Editor).showKeys},
	}
}

func step(verb, label string) string {
	if label == "" {
		return verb
	}
	return verb + ": " + label
}
