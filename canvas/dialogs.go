package canvas

import (
	"fmt"
	"image/color"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/storage"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"rigline/assets"
	"rigline/canvas/session"
	"rigline/components"
	"rigline/projects"
)

func percent(zoom float64) string { return fmt.Sprintf("%.0f %%", math.Round(zoom*100)) }

func loud(dark bool) color.Color {
	if dark {
		return hex(0x5c1d20)
	}
	return hex(0xf6d5d4)
}

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

// Start opens a file, or shows the first sheet, and the cautions where they have
// not been read yet.
func (e *Editor) Start(path string) {
	e.refreshRecent()
	if path != "" {
		e.open(path)
	}
	e.win.Canvas().Focus(e.board)
	if !e.app.Preferences().Bool(prefCautions) {
		e.showCautions()
	}
}

// show opens a dialog that the escape key closes.
func (e *Editor) show(d dialog.Dialog) {
	e.dialogs = append(e.dialogs, d)
	d.SetOnClosed(func() {
		e.dialogs = slices.DeleteFunc(e.dialogs, func(o dialog.Dialog) bool { return o == d })
	})
	d.Show()
}

// dismiss closes the uppermost dialog.
func (e *Editor) dismiss() {
	if n := len(e.dialogs); n > 0 {
		e.dialogs[n-1].Dismiss()
	}
}

// fail tells what could not be done.
func (e *Editor) fail(err error) { e.show(dialog.NewError(err, e.win)) }

// confirm asks yes or no.
func (e *Editor) confirm(title, text string, f func(yes bool)) {
	e.show(dialog.NewConfirm(title, text, f, e.win))
}

// guarded runs f once what is unsaved is saved or given up.
func (e *Editor) guarded(f func()) {
	e.flush()
	if !e.s.Dirty() {
		f()
		return
	}
	text := widget.NewLabel("The rig has changes that are in no file.")
	var d *dialog.CustomDialog
	choose := func(name string, importance widget.Importance, then func()) *widget.Button {
		b := widget.NewButton(name, func() { d.Hide(); then() })
		b.Importance = importance
		return b
	}
	d = dialog.NewCustomWithoutButtons("Save first?", text, e.win)
	d.SetButtons([]fyne.CanvasObject{
		choose("Cancel", widget.MediumImportance, func() {}),
		choose("Leave unsaved", widget.DangerImportance, f),
		choose("Save", widget.HighImportance, func() { e.save(f) }),
	})
	e.show(d)
}

func (e *Editor) askClose() {
	e.guarded(func() {
		if e.backups != nil {
			e.backups.drop()
		}
		e.win.Close()
	})
}

func (e *Editor) askNew() {
	e.guarded(func() {
		var d *dialog.CustomDialog
		box := container.NewVBox()
		add := func(title, note string, doc func() *components.Document) {
			b := widget.NewButton(title, func() {
				d.Hide()
				e.s.Start(doc())
			})
			b.Alignment = widget.ButtonAlignLeading
			box.Add(b)
			if note != "" {
				t := newText(note, theme.ColorNamePlaceHolder)
				box.Add(container.NewPadded(t))
			}
		}
		ask := widget.NewButton("Answer ten questions", func() {
			d.Hide()
			e.askQuestions()
		})
		ask.Importance = widget.HighImportance
		ask.Alignment = widget.ButtonAlignLeading
		box.Add(ask)
		box.Add(newText("Start from", theme.ColorNamePlaceHolder))
		for _, s := range projects.Starts() {
			add(s.Title, "", s.Document)
		}
		box.Add(widget.NewSeparator())
		box.Add(newText("Look at a sample", theme.ColorNamePlaceHolder))
		for _, s := range projects.Samples() {
			add(s.Title, "", s.Document)
		}
		if broken := projects.BrokenSamples(); len(broken) > 0 {
			box.Add(widget.NewSeparator())
			box.Add(newText("Look at a sample with faults in its wiring", theme.ColorNamePlaceHolder))
			for _, s := range broken {
				add(s.Title, "", s.Document)
			}
		}
		d = dialog.NewCustom("New rig", "Cancel", container.NewVScroll(box), e.win)
		d.Resize(fyne.NewSize(460, 460))
		e.show(d)
	})
}

func (e *Editor) askOpen() {
	e.guarded(func() {
		d := dialog.NewFileOpen(func(r fyne.URIReadCloser, err error) {
			if err != nil {
				e.fail(err)
				return
			}
			if r == nil {
				return
			}
			path := r.URI().Path()
			r.Close()
			e.open(path)
		}, e.win)
		e.here(d)
		d.SetFilter(storage.NewExtensionFileFilter([]string{".yaml", ".yml"}))
		d.Resize(fyne.NewSize(820, 560))
		e.show(d)
	})
}

// look again at the file when the window comes to the front.
func (e *Editor) cameBack() {
	if !e.s.ChangedOutside() || e.win.Canvas().Overlays().Top() != nil {
		return
	}
	name := filepath.Base(e.s.Path())
	if e.s.Dirty() {
		e.s.Tell(session.Wrong, "%s was changed outside. Save under another name, or open it again", name)
		return
	}
	e.confirm("The file was changed outside", name+" was written by somebody else. Read it again?", func(ok bool) {
		if ok {
			e.open(e.s.Path())
		} else {
			e.s.KeepOurs()
		}
	})
}

// here lets a file dialog begin beside the project's own file.
func (e *Editor) here(d *dialog.FileDialog) {
	if e.s.Path() == "" {
		return
	}
	dir, err := filepath.Abs(filepath.Dir(e.s.Path()))
	if err != nil {
		return
	}
	if uri, err := storage.ListerForURI(storage.NewFileURI(dir)); err == nil {
		d.SetLocation(uri)
	}
}

// open reads a file. Where it has faults, all of them are listed and the present
// rig stays.
func (e *Editor) open(path string) {
	if err := e.s.Open(path); err != nil {
		e.showFaults(path, session.Faults(err))
		return
	}
	e.remember(path)
}

func (e *Editor) showFaults(path string, faults []string) {
	list := widget.NewLabel(strings.Join(faults, "\n"))
	list.Wrapping = fyne.TextWrapWord
	list.TextStyle.Monospace = true
	list.Selectable = true
	head := widget.NewLabel(fmt.Sprintf("%s cannot be opened. Nothing was changed. Correct these places in a text editor and open it again:", filepath.Base(path)))
	head.Wrapping = fyne.TextWrapWord
	d := dialog.NewCustom(faultCount(len(faults)), "Close", container.NewBorder(head, nil, nil, nil, container.NewVScroll(list)), e.win)
	d.Resize(fyne.NewSize(760, 420))
	e.show(d)
}

func faultCount(n int) string {
	if n == 1 {
		return "1 fault in the file"
	}
	return fmt.Sprintf("%d faults in the file", n)
}

// dropped opens the first project file that is dropped on the window.
func (e *Editor) dropped(_ fyne.Position, uris []fyne.URI) {
	for _, u := range uris {
		if ext := strings.ToLower(u.Extension()); ext == ".yaml" || ext == ".yml" {
			e.guarded(func() { e.open(u.Path()) })
			return
		}
	}
	e.s.Tell(session.Wrong, "Only project files (.yaml) can be opened by dropping them here")
}

// save writes the rig to its file, then goes on.
func (e *Editor) save(then func()) {
	e.flush()
	if e.s.Path() == "" {
		e.saveAs(then)
		return
	}
	if e.s.ChangedOutside() {
		e.confirm("The file was changed outside", "Somebody else wrote "+filepath.Base(e.s.Path())+" since it was opened here. Write over it?", func(ok bool) {
			if ok {
				e.write(e.s.Path(), then)
			}
		})
		return
	}
	e.write(e.s.Path(), then)
}

func (e *Editor) write(path string, then func()) {
	if err := e.s.Save(path); err != nil {
		e.fail(err)
		return
	}
	e.remember(path)
	if then != nil {
		then()
	}
}

// saveAs asks for a name and a folder. The toolkit's own dialog empties the file
// before it is written, so that a save that fails would lose the old one; this one
// only asks.
func (e *Editor) saveAs(then func()) {
	e.flush()
	dir, name := startFolder(e.s.Path()), "rig.yaml"
	if e.s.Path() != "" {
		name = filepath.Base(e.s.Path())
	}
	file, folder := widget.NewEntry(), widget.NewEntry()
	file.SetText(name)
	folder.SetText(dir)
	choose := widget.NewButtonWithIcon("", theme.FolderOpenIcon(), func() {
		d := dialog.NewFolderOpen(func(u fyne.ListableURI, err error) {
			if err == nil && u != nil {
				folder.SetText(u.Path())
			}
		}, e.win)
		if uri, err := storage.ListerForURI(storage.NewFileURI(folder.Text)); err == nil {
			d.SetLocation(uri)
		}
		d.Resize(fyne.NewSize(760, 520))
		e.show(d)
	})
	d := dialog.NewForm("Save the rig", "Save", "Cancel", []*widget.FormItem{
		widget.NewFormItem("File", file),
		widget.NewFormItem("Folder", container.NewBorder(nil, nil, nil, choose, folder)),
	}, func(ok bool) {
		if ok {
			e.saveTo(filepath.Join(folder.Text, strings.TrimSpace(file.Text)), then)
		}
	}, e.win)
	file.Validator = func(t string) error {
		if strings.TrimSpace(t) == "" || strings.ContainsAny(t, `/\`) {
			return fmt.Errorf("want a name, as in rig.yaml")
		}
		return nil
	}
	file.OnSubmitted = func(string) { d.Submit() }
	folder.Validator = func(t string) error {
		if info, err := os.Stat(t); err != nil || !info.IsDir() {
			return fmt.Errorf("there is no such folder")
		}
		return nil
	}
	d.Resize(fyne.NewSize(560, 200))
	e.show(d)
	e.win.Canvas().Focus(file)
}

// saveTo writes the rig to a chosen file, and asks before it takes the place of
// another.
func (e *Editor) saveTo(path string, then func()) {
	if filepath.Ext(path) == "" {
		path += ".yaml"
	}
	if _, err := os.Stat(path); err != nil || path == e.s.Path() {
		e.write(path, then)
		return
	}
	e.confirm("Write over it?", filepath.Base(path)+" is there already.", func(ok bool) {
		if ok {
			e.write(path, then)
		}
	})
}

// startFolder is where a rig is likely to be saved.
func startFolder(path string) string {
	if path != "" {
		if abs, err := filepath.Abs(filepath.Dir(path)); err == nil {
			return abs
		}
	}
	if dir, err := os.Getwd(); err == nil && dir != "/" {
		return dir
	}
	dir, _ := os.UserHomeDir()
	return dir
}

// askHandOff saves the rig, asks where the hand-off goes and writes it behind the
// window.
func (e *Editor) askHandOff() {
	if e.HandOff == nil {
		return
	}
	e.flush()
	if e.s.Dirty() || e.s.Path() == "" {
		e.save(e.askHandOffFolder)
		return
	}
	e.askHandOffFolder()
}

func (e *Editor) askHandOffFolder() {
	d := dialog.NewFolderOpen(func(u fyne.ListableURI, err error) {
		if err != nil {
			e.fail(err)
			return
		}
		if u == nil {
			return
		}
		file := e.s.Path()
		name := strings.TrimSuffix(filepath.Base(file), filepath.Ext(file))
		folder := filepath.Join(u.Path(), name+"-hand-off")
		e.s.Tell(session.Plain, "Writing the hand-off …")
		go func() {
			told, err := e.HandOff(file, folder)
			e.board.post(func() {
				if err != nil {
					e.fail(err)
					return
				}
				e.s.Tell(session.Plain, "%s", strings.TrimSpace(told))
			})
		}()
	}, e.win)
	e.here(d)
	d.SetConfirmText("Write it here")
	d.Resize(fyne.NewSize(820, 560))
	e.show(d)
}

// remember puts a file at the head of the recent ones.
func (e *Editor) remember(path string) {
	if abs, err := filepath.Abs(path); err == nil {
		path = abs
	}
	const most = 8
	list := slices.DeleteFunc(e.app.Preferences().StringList(prefRecent), func(p string) bool { return p == path })
	list = append([]string{path}, list...)
	e.app.Preferences().SetStringList(prefRecent, list[:min(len(list), most)])
	e.refreshRecent()
}

func (e *Editor) refreshRecent() {
	m := fyne.NewMenu("")
	for _, path := range e.app.Preferences().StringList(prefRecent) {
		m.Items = append(m.Items, fyne.NewMenuItem(path, func() { e.guarded(func() { e.open(path) }) }))
	}
	e.recent.ChildMenu = m
	e.recent.Disabled = len(m.Items) == 0
	e.menu.Refresh()
}

// askQuestion shows the choice that a gesture left open.
func (e *Editor) askQuestion() {
	q := e.s.Question()
	if q == nil || q == e.asked {
		return
	}
	e.asked = q
	var d *dialog.CustomDialog
	answered := false
	box := container.NewVBox()
	for i, c := range q.Choices {
		b := widget.NewButton(c.Label, func() {
			answered = true
			d.Hide()
			e.s.Answer(i)
		})
		if i == 0 {
			b.Importance = widget.HighImportance
		}
		box.Add(b)
	}
	d = dialog.NewCustom(q.Text, "No run", box, e.win)
	d.SetOnClosed(func() {
		if !answered {
			e.s.Answer(-1)
		}
	})
	e.show(d)
}

// askWish asks for the text that a gesture left open.
func (e *Editor) askWish() {
	w := e.s.Wish()
	if w == nil || w == e.wished {
		return
	}
	e.wished = w
	text := widget.NewMultiLineEntry()
	d := dialog.NewForm(w.Title, "Put it there", "Leave it", []*widget.FormItem{widget.NewFormItem("", text)}, func(ok bool) {
		e.s.Grant(text.Text, ok)
		e.win.Canvas().Focus(e.board)
	}, e.win)
	d.Resize(fyne.NewSize(420, 200))
	e.show(d)
	e.win.Canvas().Focus(text)
}

// askConnect draws a run by its two ports' names, for a hand that has no pointer.
func (e *Editor) askConnect() {
	var ports []string
	for _, p := range e.s.Doc().Parts() {
		for _, name := range p.PortNames() {
			ports = append(ports, p.Ref(name).String())
		}
	}
	if len(ports) < 2 {
		e.s.Tell(session.Wrong, "There are no two ports to connect yet")
		return
	}
	to := widget.NewSelect(nil, nil)
	from := widget.NewSelect(ports, nil)
	from.OnChanged = func(text string) {
		a, _ := components.ParsePortRef(text)
		to.Options = nil
		for _, p := range ports {
			b, _ := components.ParsePortRef(p)
			if ways, _ := session.Ways(e.s.Doc(), a, b); len(ways) > 0 {
				to.Options = append(to.Options, p)
			}
		}
		to.ClearSelected()
		to.Refresh()
	}
	if sel := e.s.SelectedParts(); len(sel) > 0 {
		from.SetSelected(sel[0].Ref(sel[0].PortNames()[0]).String())
	}
	d := dialog.NewForm("Connect two ports", "Connect", "Cancel", []*widget.FormItem{
		widget.NewFormItem("From", from), widget.NewFormItem("To", to),
	}, func(ok bool) {
		a, errA := components.ParsePortRef(from.Selected)
		b, errB := components.ParsePortRef(to.Selected)
		if ok && errA == nil && errB == nil {
			e.s.Connect(a, b)
		}
	}, e.win)
	d.Resize(fyne.NewSize(380, 180))
	e.show(d)
}

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
	d := dialog.NewCustom("Cautions", "I have read them", container.NewVScroll(box), e.win)
	d.SetOnClosed(func() {
		e.app.Preferences().SetBool(prefCautions, true)
		e.win.Canvas().Focus(e.board)
	})
	d.Resize(fyne.NewSize(620, 380))
	e.show(d)
}

// showKeys lists every key and what the pointer does, from the table of commands.
func (e *Editor) showKeys() {
	grid := container.New(&twoColumns{}, e.keyLines()...)
	d := dialog.NewCustom("Keys and pointer", "Close", container.NewVScroll(grid), e.win)
	d.Resize(fyne.NewSize(640, 520))
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
		[2]string{"Tab", "Go to the next field, button or the sheet"},
		[2]string{"Escape in a field", "Put the text back as it was"},
		[2]string{"Return in a field", "Take what was typed; leaving the field does too"},
		[2]string{"Return in the search box", "Take the first part that was found in the hand"},
		[2]string{"Return on the sheet", "Put the part in the hand down; with none, go to the first figure of what is selected"},
		[2]string{"Drag from a port", "Draw a run to another port; those that fit are lit"},
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

// twoColumns lays pairs side by side, the first a third of the width.
type twoColumns struct{ width float32 }

func (t *twoColumns) MinSize(objects []fyne.CanvasObject) fyne.Size {
	h := float32(0)
	for i := 0; i+1 < len(objects); i += 2 {
		h += max(objects[i].MinSize().Height, objects[i+1].MinSize().Height)
	}
	return fyne.NewSize(300, h)
}

func (t *twoColumns) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	y, split := float32(0), size.Width*0.38
	for i := 0; i+1 < len(objects); i += 2 {
		a, b := objects[i], objects[i+1]
		a.Resize(fyne.NewSize(split, a.MinSize().Height))
		b.Resize(fyne.NewSize(size.Width-split, b.MinSize().Height))
		h := max(a.MinSize().Height, b.MinSize().Height)
		a.Move(fyne.NewPos(0, y))
		b.Move(fyne.NewPos(split, y))
		y += h
	}
}
