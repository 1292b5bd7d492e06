package canvas

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"rigline/assets"
)

// showCautions shows the cautions; once they are read they are only under Help.
func (e *Editor) showCautions() {
	box := container.NewVBox()
	for _, line := range strings.Split(strings.TrimSpace(assets.Cautions), "\n") {
		if strings.TrimSpace(line) == "" {
			continue
		}
		l := widget.NewLabel(line)
		l.Wrapping = fyne.TextWrapWord
		box.Add(l)
	}
	d := dialog.NewCustomWithoutButtons("Cautions", container.NewVScroll(box), e.win)
	read := newKeyButton("I have read them", d.Hide)
	d.SetButtons([]fyne.CanvasObject{read})
	d.SetOnClosed(func() {
		e.app.Preferences().SetBool(prefCautions, true)
		e.win.Canvas().Focus(e.board)
	})
	d.Resize(fyne.NewSize(620, 380))
	e.show(d)
	e.win.Canvas().Focus(read)
}

// showKeys lists every key and what the pointer does, from the table of commands.
func (e *Editor) showKeys() {
	page := container.NewThemeOverride(container.New(&onePage{}, e.keyLines()...), tight{e.app.Settings().Theme()})
	d := dialog.NewCustom("Keys and pointer", "Close", container.NewVScroll(page), e.win)
	room := e.win.Canvas().Size()
	d.Resize(fyne.NewSize(min(1240, room.Width-20), min(680, room.Height-20)))
	e.show(d)
}

// keyList is every key with its meaning.
func (e *Editor) keyList() [][2]string {
	var list [][2]string
	for _, c := range e.table {
		var keys []string
		if k := keyText(c.shortcut); k != "" {
			keys = append(keys, k)
		}
		if c.key != "" {
			keys = append(keys, string(c.key)+" on the sheet")
		}
		if c.rune != 0 {
			keys = append(keys, strings.ToUpper(string(c.rune))+" on the sheet")
		}
		if len(keys) > 0 {
			list = append(list, [2]string{strings.Join(keys, ", "), c.name})
		}
	}
	return append(list,
		[2]string{"Ctrl+Shift+Z outside text fields", "Redo"},
		[2]string{"Double click on a part or run", "Go to its first figure"},
		[2]string{"Click on a finding's mark", "Go to the finding"},
		[2]string{"Arrow keys on the sheet", "Move what is selected by a module, or pan; with shift by five"},
		[2]string{"Escape in a dialog, outside its fields", "Close it"},
		[2]string{"Escape on the sheet", "Drop what is under way, then the tool, then the selection"},
		[2]string{"Tab", "Go to the next field, button or the sheet; with shift, to the one before"},
		[2]string{"Space on a button or list", "Press the button, open the list; the letter keys choose from it"},
		[2]string{"Return on a question", "Take the answer that is marked; escape leaves it"},
		[2]string{"Escape in a field", "Put the text back as it was"},
		[2]string{"Return in a field", "Take what was typed; leaving the field does too"},
		[2]string{"Return in the search box", "Take the first part that was found in the hand"},
		[2]string{"Return on the sheet", "Put the part in the hand down; with none, go to the first figure of what is selected"},
		[2]string{"Drag from a port", "Draw a run to another port; those that fit are lit"},
		[2]string{"Drag from a port to empty paper", "Leave a loose end, to be drawn on later; the rules call it loose until then"},
		[2]string{"Drag a part", "Move it; onto a run, fit it in"},
		[2]string{"Drag a run's middle piece or a bend", "Bend the run"},
		[2]string{"Drag over empty paper", "Select what lies in the band; with shift, add to the selection"},
		[2]string{"Wheel", "Zoom at the pointer, or pan where View says so; with shift, pan sideways"},
		[2]string{"Middle button, or space and drag", "Pan"},
		[2]string{"Secondary button", "A menu of what can be done there"},
		[2]string{"In a text field", "Ctrl+C, X, V and A mean the text; Ctrl+Z means the text while it is being typed"},
	)
}

func (e *Editor) keyLines() []fyne.CanvasObject {
	var cells []fyne.CanvasObject
	for _, k := range e.keyList() {
		key := widget.NewLabel(k[0])
		key.TextStyle.Bold = true
		key.Wrapping = fyne.TextWrapWord
		says := widget.NewLabel(k[1])
		says.Wrapping = fyne.TextWrapWord
		cells = append(cells, key, says)
	}
	return cells
}

// onePage lays pairs below each other in as many columns as the page is wide, so that all
// of them are in sight at once.
type onePage struct{ high float32 }

const (
	columnWidth = 380 // of a key and what it does, at least
	columnGap   = 16
)

// MinSize is a narrow column's, as high as the pairs were laid last.
func (p *onePage) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(300, p.high) }

// Layout fills one column after the other, each about as high as the others.
func (p *onePage) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	n := max(1, int((size.Width+columnGap)/(columnWidth+columnGap)))
	wide := (size.Width - columnGap*float32(n-1)) / float32(n)
	split := wide * 0.38
	var heights []float32
	whole := float32(0)
	for i := 0; i+1 < len(objects); i += 2 {
		a, b := objects[i], objects[i+1]
		a.Resize(fyne.NewSize(split, a.MinSize().Height))
		b.Resize(fyne.NewSize(wide-split, b.MinSize().Height))
		h := max(a.MinSize().Height, b.MinSize().Height)
		heights, whole = append(heights, h), whole+h
	}
	x, y := float32(0), float32(0)
	p.high = 0
	for i, h := range heights {
		if left := float32(n-1) * (wide + columnGap); x < left-1 && y+h/2 > whole/float32(n) {
			x, y = x+wide+columnGap, 0
		}
		objects[2*i].Move(fyne.NewPos(x, y))
		objects[2*i+1].Move(fyne.NewPos(x+split, y))
		y += h
		p.high = max(p.high, y)
	}
}

// tight is a theme whose lines stand closely below each other.
type tight struct{ fyne.Theme }

// Size gives a size.
func (t tight) Size(name fyne.ThemeSizeName) float32 {
	switch name {
	case theme.SizeNameInnerPadding:
		return 1
	case theme.SizeNameLineSpacing:
		return 0
	}
	return t.Theme.Size(name)
}
