package canvas

import (
	"time"

	"fyne.io/fyne/v2"
	fynecanvas "fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// tips show what a button does while the pointer rests on it. They lie over the
// window and take no clicks.
type tips struct {
	e     *Editor
	back  *fynecanvas.Rectangle
	lines *fyne.Container
	layer *fyne.Container
	turn  int // of the pointer's visits, so that a late one shows nothing
}

// tipWidth is how wide a line of a tip may be.
const tipWidth = 300

func newTips(e *Editor) *tips {
	t := &tips{e: e, back: fynecanvas.NewRectangle(nil), lines: container.NewWithoutLayout()}
	t.back.StrokeWidth = 1
	t.layer = container.NewWithoutLayout(t.back, t.lines)
	t.layer.Hide()
	return t
}

// over waits for the pointer to rest on an object.
func (t *tips) over(o fyne.CanvasObject, text string) {
	t.turn++
	turn := t.turn
	if text == "" {
		return
	}
	time.AfterFunc(rest, func() {
		t.e.board.post(func() {
			if t.turn == turn && t.e.win.Canvas().Overlays().Top() == nil {
				t.show(o, text)
			}
		})
	})
}

// away takes the tip down.
func (t *tips) away() {
	t.turn++
	if t.layer.Visible() {
		t.layer.Hide()
	}
}

func (t *tips) show(o fyne.CanvasObject, text string) {
	const pad = 6
	size := theme.Size(theme.SizeNameCaptionText) + 1
	t.lines.RemoveAll()
	y, wide := float32(0), float32(0)
	for _, line := range broken(text, tipWidth, size) {
		l := fynecanvas.NewText(line, theme.Color(theme.ColorNameForeground))
		l.TextSize = size
		l.Move(fyne.NewPos(0, y))
		l.Resize(l.MinSize())
		y += l.MinSize().Height
		wide = max(wide, l.MinSize().Width)
		t.lines.Add(l)
	}
	at := t.e.app.Driver().AbsolutePositionForObject(o).Subtract(t.e.app.Driver().AbsolutePositionForObject(t.layer))
	if below := at.Y + o.Size().Height + 3; below+y+2*pad < t.layer.Size().Height {
		at.Y = below
	} else {
		at.Y -= y + 2*pad + 3
	}
	at.X = max(2, min(at.X, t.e.win.Canvas().Size().Width-wide-2*pad-4))
	t.back.FillColor, t.back.StrokeColor = theme.Color(theme.ColorNameOverlayBackground), theme.Color(theme.ColorNameInputBorder)
	t.back.Move(at)
	t.back.Resize(fyne.NewSize(wide+2*pad, y+2*pad))
	t.lines.Move(at.AddXY(pad, pad))
	t.layer.Show()
	t.layer.Refresh()
}

// tipButton is a button that tells what it does.
type tipButton struct {
	widget.Button
	tips *tips
	says func() string
}

func newTipButton(t *tips, name string, icon fyne.Resource, says func() string, do func()) *tipButton {
	b := &tipButton{tips: t, says: says}
	b.Text, b.Icon, b.OnTapped = name, icon, do
	b.ExtendBaseWidget(b)
	return b
}

// MouseIn begins to wait.
func (b *tipButton) MouseIn(ev *desktop.MouseEvent) {
	b.Button.MouseIn(ev)
	b.tips.over(b, b.says())
}

// MouseOut takes the tip down.
func (b *tipButton) MouseOut() {
	b.Button.MouseOut()
	b.tips.away()
}

// Tapped takes the tip down too.
func (b *tipButton) Tapped(ev *fyne.PointEvent) {
	b.tips.away()
	b.Button.Tapped(ev)
}

// tipLabel is a text that is told in full where it is cut.
type tipLabel struct {
	widget.Label
	tips *tips
}

func newTipLabel(t *tips) *tipLabel {
	l := &tipLabel{tips: t}
	l.Truncation = fyne.TextTruncateEllipsis
	l.ExtendBaseWidget(l)
	return l
}

// cut tells whether the text is wider than its place.
func (l *tipLabel) cut() bool {
	return fyne.MeasureText(l.Text, theme.Size(theme.SizeNameText), l.TextStyle).Width+2*theme.Size(theme.SizeNameInnerPadding) > l.Size().Width
}

// MouseIn begins to wait.
func (l *tipLabel) MouseIn(*desktop.MouseEvent) {
	if l.cut() {
		l.tips.over(l, l.Text)
	}
}

// MouseMoved does nothing.
func (l *tipLabel) MouseMoved(*desktop.MouseEvent) {}

// MouseOut takes the tip down.
func (l *tipLabel) MouseOut() { l.tips.away() }

// commandHelp is what the commands of the bar do, in plain words.
var commandHelp = map[string]string{
	"New":                  "Put this rig away and begin another: from questions, from a sample or on empty paper",
	"Open":                 "Open a project file",
	"Save":                 "Keep the rig in its file",
	"Undo":                 "Take the last step back; every step can be taken back",
	"Redo":                 "Do again what was taken back",
	"Duplicate":            "Add a copy of the selected parts and of the runs between them",
	"Tell what is missing": "List the figures that checks ask for, to be told one after the other",
	"Delete":               "Take the selected parts and runs out of the rig",
	"Turn":                 "Turn the selected parts by a quarter",
	"Whole sheet":          "Show the whole sheet",
	"Nearer":               "Show the sheet larger",
	"Farther":              "Show the sheet smaller",
}

// tipOf is a command's help with its key.
func (e *Editor) tipOf(c command) string {
	says := commandHelp[c.name]
	if says == "" {
		return ""
	}
	if k := keyText(c.shortcut); k != "" {
		says += " (" + k + ")"
	}
	return says
}
