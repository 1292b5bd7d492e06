package canvas

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"time"

	"fyne.io/fyne/v2/widget"

	"rigline/canvas/session"
)

// backups keeps a copy of unsaved work, a moment after each edit, behind the
// window.
type backups struct {
	e       *Editor
	journal *session.Journal
	work    chan func()
	edits   int
	since   time.Time // of the first edit that is in no copy yet, zero for none
	failed  bool      // the last copy could not be written
}

// A copy is written when the hand has rested for a pause, and in any case so long after
// the first edit that is in none: a hand that never rests is backed up too.
const (
	pause   = 500 * time.Millisecond
	longest = 3 * time.Second
)

// again is how long after a failure a copy is tried again, without another edit.
const again = 20 * time.Second

// KeepBackups keeps copies of unsaved work in the first of some directories that
// has room, and offers what a window that did not close left there.
func (e *Editor) KeepBackups(dirs ...string) {
	j, err := session.NewJournal(dirs...)
	if err != nil {
		e.s.Tell(session.Wrong, "Unsaved work is not backed up: %v", err)
		return
	}
	b := &backups{e: e, journal: j, work: make(chan func(), 16)}
	go func() {
		for f := range b.work {
			f()
		}
	}()
	e.backups = b
	e.s.Watch(func(c session.Change) {
		if c&session.FileChanged != 0 {
			b.follow()
		}
	})
	b.offer()
}

// follow writes a copy soon, or drops it where a file holds all.
func (b *backups) follow() {
	b.edits++
	edits := b.edits
	if !b.e.s.Dirty() {
		b.since = time.Time{}
		b.work <- b.journal.Drop
		return
	}
	if b.since.IsZero() {
		b.since = time.Now()
	}
	time.AfterFunc(min(pause, longest-time.Since(b.since)), func() {
		b.e.board.post(func() {
			late := !b.since.IsZero() && time.Since(b.since) >= longest
			if (edits == b.edits || late) && b.e.s.Dirty() {
				b.keep()
			}
		})
	})
}

func (b *backups) keep() {
	b.since = time.Time{}
	path, doc := b.e.s.Path(), b.e.s.Doc()
	b.work <- func() {
		err := b.journal.Keep(path, doc)
		b.e.board.post(func() { b.kept(err) })
	}
}

// kept tells where a copy could not be written, and tries again later.
func (b *backups) kept(err error) {
	if err == nil {
		if b.failed {
			b.failed = false
			b.e.s.Tell(session.Plain, "Unsaved work is backed up again")
		}
		return
	}
	b.failed = true
	b.e.s.Tell(session.Wrong, "Unsaved work is not backed up: save it, or make room on the disk. %s", strings.ReplaceAll(err.Error(), "\n", "; "))
	edits := b.edits
	time.AfterFunc(again, func() {
		b.e.board.post(func() {
			if edits == b.edits && b.e.s.Dirty() {
				b.keep()
			}
		})
	})
}

// drop takes the copy away and waits until it is gone.
func (b *backups) drop() {
	done := make(chan struct{})
	b.work <- func() { b.journal.Drop(); close(done) }
	<-done
}

// offer asks about the newest copy that a window left behind.
func (b *backups) offer() {
	lost, err := b.journal.Lost(alive)
	if err != nil || len(lost) == 0 {
		return
	}
	l := lost[0]
	name := "a rig that was never saved"
	if l.Project != "" {
		name = filepath.Base(l.Project)
	}
	text := fmt.Sprintf("A window did not close as it should. Changes to %s, made until %s, are in no file.", name, l.Time.Format("2 January, 15:04"))
	b.e.ask("Unsaved work was found", text,
		way{"Ask again later", widget.MediumImportance, nil},
		way{"Give it up", widget.DangerImportance, l.Forget},
		way{"Take it up again", widget.HighImportance, func() {
			if err := b.e.s.Recover(l); err != nil {
				b.e.fail(err)
				return
			}
			b.keep()
			l.Forget()
		}})
}

// alive tells whether a process still runs.
func alive(pid int) bool {
	p, err := os.FindProcess(pid)
	if err != nil {
		return false
	}
	if runtime.GOOS == "windows" {
		return true // only a process that runs is found
	}
	// A process that has ended but was not waited for still takes signals.
	if stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid)); err == nil && bytes.Contains(stat, []byte(") Z ")) {
		return false
	}
	err = p.Signal(syscall.Signal(0))
	return err == nil || os.IsPermission(err)
}
