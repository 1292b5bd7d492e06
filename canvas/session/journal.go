package session

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"rigline/components"
	"rigline/projects"
)

// Journal keeps a copy of unsaved work outside the project's file, so that a crash
// or a pulled plug loses a few seconds at most. Where the disk of the first
// directory is full, the copy goes to the next.
type Journal struct {
	dirs []string
	path string // of the copy that is being kept, "" for none
	pid  int
}

// Lost is work that no file holds, left by a window that did not close.
type Lost struct {
	Project string // the file that it belongs to, "" where it was never saved
	Time    time.Time
	copy    string // where it is kept
}

// entry heads a copy: what it belongs to and who is at it.
type entry struct {
	Project string    `json:"project"`
	PID     int       `json:"pid"`
	Time    time.Time `json:"time"`
}

const (
	journalEnding = ".unsaved"
	headMark      = "# unsaved "
)

// NewJournal keeps copies in the first of some directories that takes them. It makes
// the directories; an error means that none could be made.
func NewJournal(dirs ...string) (*Journal, error) {
	j := &Journal{pid: os.Getpid()}
	var failed error
	for _, dir := range dirs {
		if err := os.MkdirAll(dir, 0o700); err != nil {
			failed = errors.Join(failed, err)
			continue
		}
		j.dirs = append(j.dirs, dir)
	}
	if len(j.dirs) == 0 {
		return nil, fmt.Errorf("backup: %w", failed)
	}
	return j, nil
}

// Keep writes a copy of a document that belongs to a project's file. Where it
// fails, the copy before is still whole.
func (j *Journal) Keep(project string, doc *components.Document) error {
	head, err := json.Marshal(entry{project, j.pid, time.Now()})
	if err != nil {
		return err
	}
	sum := sha256.Sum256([]byte(project))
	name := fmt.Sprintf("%x-%d%s", sum[:6], j.pid, journalEnding)
	data := append([]byte(headMark+string(head)+"\n"), projects.Write(doc)...)
	var failed error
	for _, dir := range j.dirs {
		path := filepath.Join(dir, name)
		if err := putWhole(path, data); err != nil {
			failed = errors.Join(failed, err)
			continue
		}
		if j.path != "" && j.path != path {
			os.Remove(j.path)
		}
		j.path = path
		return nil
	}
	return fmt.Errorf("backup: %w", failed)
}

// putWhole puts bytes in the place of a file, on the disk before they take its
// name; where it fails, the old file is untouched and nothing is left beside it.
func putWhole(path string, data []byte) error {
	beside := path + ".new"
	f, err := os.OpenFile(beside, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o600)
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err == nil {
		err = os.Rename(beside, path)
	}
	if err != nil {
		os.Remove(beside)
	}
	return err
}

// Drop takes the copy away, since a file holds the work or the person gave it up.
func (j *Journal) Drop() {
	if j.path != "" {
		os.Remove(j.path)
		j.path = ""
	}
}

// Lost lists the copies that windows which are gone left behind, newest first.
// Alive tells whether a process still runs.
func (j *Journal) Lost(alive func(pid int) bool) ([]Lost, error) {
	var lost []Lost
	for _, dir := range j.dirs {
		files, err := os.ReadDir(dir)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return nil, err
		}
		for _, f := range files {
			if !strings.HasSuffix(f.Name(), journalEnding) {
				continue
			}
			path := filepath.Join(dir, f.Name())
			head, _, err := readCopy(path)
			if err != nil || head.PID == j.pid || alive(head.PID) {
				continue
			}
			lost = append(lost, Lost{head.Project, head.Time, path})
		}
	}
	slices.SortFunc(lost, func(a, b Lost) int { return cmp.Or(b.Time.Compare(a.Time), cmp.Compare(a.copy, b.copy)) })
	return lost, nil
}

func readCopy(path string) (head entry, body []byte, err error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return head, nil, err
	}
	line, body, ok := bytes.Cut(data, []byte("\n"))
	line, marked := bytes.CutPrefix(line, []byte(headMark))
	if !ok || !marked {
		return head, nil, fmt.Errorf("%s is no copy of unsaved work", path)
	}
	return head, body, json.Unmarshal(line, &head)
}

// Read gives the lost document.
func (l Lost) Read() (*components.Document, error) {
	_, body, err := readCopy(l.copy)
	if err != nil {
		return nil, err
	}
	doc, _, err := projects.Read(l.copy, body)
	return doc, err
}

// Forget takes the copy away.
func (l Lost) Forget() { os.Remove(l.copy) }

// Recover puts lost work in place of everything, as unsaved work of its file.
func (s *Session) Recover(l Lost) error {
	doc, err := l.Read()
	if err != nil {
		return err
	}
	s.begin(doc, l.Project)
	s.saved = nil // no file holds it
	s.onDisk = stampOf(l.Project)
	s.FitDrawn()
	s.changed(FileChanged)
	return nil
}
