package canvas

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/storage"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"rigline/canvas/session"
)

// guarded runs f once what is unsaved is saved or given up.
func (e *Editor) guarded(f func()) {
	e.flush()
	if !e.s.Dirty() {
		f()
		return
	}
	e.ask("Save first?", "The rig has changes that are in no file.",
		way{"Cancel", widget.MediumImportance, nil},
		way{"Leave unsaved", widget.DangerImportance, f},
		way{"Save", widget.HighImportance, func() { e.save(f) }})
}

func (e *Editor) askClose() {
	e.guarded(func() {
		e.rememberSizes()
		if e.backups != nil {
			e.backups.drop()
		}
		if e.Closing != nil {
			e.Closing()
		}
		e.win.Close()
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
	e.ask("The file was changed outside", name+" was written by another program since it was opened here.",
		way{"Keep what is shown", widget.MediumImportance, e.s.KeepOurs},
		way{"Read it again", widget.HighImportance, func() { e.open(e.s.Path()) }})
}

// here lets a file dialog begin beside the project's own file.
func (e *Editor) here(d *dialog.FileDialog) {
	d.SetView(dialog.ListView) // whole names, where icons cut them off
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
	switch err := e.s.Open(path); {
	case errors.Is(err, fs.ErrNotExist):
		e.forget(path)
		e.ask("The file is not there", filepath.Base(path)+" is not in "+filepath.Dir(path)+" any more: it was moved, renamed or taken away, or its disk is not in. Nothing was changed here.",
			way{"Close", widget.MediumImportance, nil})
	case errors.Is(err, fs.ErrPermission):
		e.ask("The file cannot be read", "Reading "+path+" is not allowed. Nothing was changed here.", way{"Close", widget.MediumImportance, nil})
	case err != nil:
		e.showFaults(path, session.Faults(err))
	default:
		e.remember(path)
	}
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
		e.ask("The file was changed outside", filepath.Base(e.s.Path())+" was written by another program since it was opened here.",
			way{"Cancel", widget.MediumImportance, nil},
			way{"Write over it", widget.DangerImportance, func() { e.write(e.s.Path(), then) }},
			way{"Save as", widget.HighImportance, func() { e.saveAs(then) }})
		return
	}
	e.write(e.s.Path(), then)
}

func (e *Editor) write(path string, then func()) {
	if err := e.s.Save(path); err != nil {
		e.ask("The rig was not saved", filepath.Base(path)+" could not be written: "+whyNot(err)+" What stood there before is untouched.",
			way{"Leave it", widget.MediumImportance, nil},
			way{"Save as", widget.HighImportance, func() { e.saveAs(then) }})
		return
	}
	e.remember(path)
	if then != nil {
		then()
	}
}

// whyNot tells why a file could not be written, and what helps.
func whyNot(err error) string {
	switch {
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT):
		return "the disk is full. Make room there, or save on another."
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return "writing there is not allowed. Save in another folder."
	case errors.Is(err, fs.ErrNotExist):
		return "its folder is gone. Save in another one."
	}
	return err.Error() + "."
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
		d.SetView(dialog.ListView)
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
			e.saveTo(placed(folder.Text, file.Text), then)
		}
	}, e.win)
	file.Validator = func(t string) error {
		name := strings.TrimSpace(t)
		if name == "" || strings.HasSuffix(name, string(filepath.Separator)) {
			return fmt.Errorf("want a name, as in rig.yaml")
		}
		if info, err := os.Stat(filepath.Dir(placed(folder.Text, name))); err != nil || !info.IsDir() {
			return fmt.Errorf("there is no folder %s", filepath.Dir(name))
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
	file.TypedShortcut(&fyne.ShortcutSelectAll{}) // what is typed takes the name's place
}

// placed is a file's path by its name in a folder, or by a whole path in place of the
// name.
func placed(folder, name string) string {
	name = strings.TrimSpace(name)
	if filepath.IsAbs(name) {
		return name
	}
	return filepath.Join(folder, name)
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
	e.ask("Write over it?", filepath.Base(path)+" is there already.",
		way{"Cancel", widget.MediumImportance, nil},
		way{"Write over it", widget.DangerImportance, func() { e.write(path, then) }})
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
				written, _, _ := strings.Cut(strings.TrimSpace(told), ". ")
				e.s.Tell(session.Plain, "Written: %s", strings.Replace(written, folder, filepath.Base(folder), 1))
			})
		}()
	}, e.win)
	e.here(d)
	d.SetConfirmText("Write it here")
	d.SetTitleText("Where the hand-off goes")
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

// forget takes a file that is gone out of the recent ones.
func (e *Editor) forget(path string) {
	list := slices.DeleteFunc(e.app.Preferences().StringList(prefRecent), func(p string) bool { return p == path })
	e.app.Preferences().SetStringList(prefRecent, list)
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
