package session

import (
	"errors"
	"os"
	"path/filepath"
	"time"

	"rigline/components"
	"rigline/projects"
)

// Path is the project's file, "" before the first save.
func (s *Session) Path() string { return s.path }

// Dirty tells whether the document differs from its file.
func (s *Session) Dirty() bool { return s.Doc() != s.saved }

// Name is what the window is called.
func (s *Session) Name() string {
	name := "Unsaved rig"
	if s.path != "" {
		name = filepath.Base(s.path)
	}
	if s.Dirty() {
		name = "• " + name
	}
	return name
}

// Start puts a new document in place, not yet in any file.
func (s *Session) Start(doc *components.Document) {
	s.begin(doc, "")
	s.onDisk = stamp{}
	s.FitDrawn()
}

// Open reads a project in place of everything. Where the file has faults, nothing
// changes and every fault is listed.
func (s *Session) Open(path string) error {
	seen := stampOf(path)
	doc, _, err := projects.Load(path)
	if err != nil {
		return err
	}
	s.begin(doc, path)
	s.onDisk = seen
	s.FitDrawn()
	return nil
}

// Faults lists what is wrong with a file, a line a fault.
func Faults(err error) []string {
	var ps projects.Problems
	if !errors.As(err, &ps) {
		return []string{err.Error()}
	}
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = p.String()
	}
	return lines
}

// Save writes the project to a path and takes it for the project's own. The old
// file stays whole where it fails.
func (s *Session) Save(path string) error {
	if err := projects.Save(path, s.Doc()); err != nil {
		return err
	}
	s.path, s.saved = path, s.Doc()
	s.onDisk = stampOf(path)
	s.Tell(Plain, "Saved %s", filepath.Base(path))
	s.changed(FileChanged)
	return nil
}

// stamp is how a file looked when it was last read or written.
type stamp struct {
	size int64
	time time.Time
}

func stampOf(path string) stamp {
	info, err := os.Stat(path)
	if err != nil {
		return stamp{}
	}
	return stamp{info.Size(), info.ModTime()}
}

// ChangedOutside tells whether somebody else wrote the project's file since it was
// read or saved here.
func (s *Session) ChangedOutside() bool {
	return s.path != "" && s.onDisk != (stamp{}) && stampOf(s.path) != s.onDisk
}

// KeepOurs takes the file as it now is for seen; what is here stays.
func (s *Session) KeepOurs() {
	s.onDisk = stampOf(s.path)
	s.saved = nil
	s.changed(FileChanged)
}
