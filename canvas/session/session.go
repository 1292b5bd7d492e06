// Package session is what a person is in the middle of: a line of documents with
// a place in it, a selection, a view, a tool in the hand and the last checks that
// came back. It knows no screen; canvas shows it.
//
// A session belongs to one goroutine. Work that runs behind it comes back through
// the function that New is handed.
package session

import (
	"fmt"
	"slices"
	"time"

	"rigline/components"
	"rigline/export/scene"
	"rigline/rules"
)

// Change says what watchers have to look at again.
type Change int

// The changes, which add up.
const (
	DocChanged       Change = 1 << iota // the document
	SelectionChanged                    // what is selected
	ViewChanged                         // pan and zoom
	PreviewChanged                      // what the tool in the hand shows
	CheckedChanged                      // findings or figures came back, or went stale
	FileChanged                         // path, or saved and unsaved
	ToldChanged                         // the line of news
	FindingWanted                       // a finding is to be shown in the list
	DrawnChanged                        // the sheet was drawn again from behind
	FigureWanted                        // a figure that a check lacks is to be told
)

// Session is one window's work.
type Session struct {
	View View

	post  func(func())
	book  []*rules.Rule
	watch []func(Change)

	history  *components.History
	saved    *components.Document // as it stands in the file
	path     string
	onDisk   stamp
	selected []components.ID
	tool     Tool
	question *Question
	wish     *Wish
	told     News
	words    words
	tryout   *Preview // of a repair, nil for none

	drawn  *drawn               // of the present document, nil when it must be drawn again
	plan   *scene.Plan          // that the last sheet was drawn by, nil before the first
	took   time.Duration        // to draw it
	paper  scene.Box            // of the last sheet
	fitted *components.Document // that the view was last fitted to
	phase  Phase
	wanted int                                 // the finding that was asked for last
	found  rules.Finding                       // the same, as it was then
	missed Lack                                // the missing figure that was gone to last, where that was later
	step   int                                 // to go on with, once the check that runs is done
	facts  map[components.ID]func(text string) // asked for, and told once it is
	checks checking
}

// New starts with an empty rig. Post brings a function to the goroutine that the
// session belongs to; book is the rules that are checked after every edit.
func New(post func(func()), book []*rules.Rule) *Session {
	s := &Session{post: post, book: book, View: View{Zoom: 1, Holds: WholeSheet}}
	s.tool = &Hand{}
	s.begin(components.NewDocument("Untitled rig"), "")
	return s
}

// begin puts a document in place of everything.
func (s *Session) begin(doc *components.Document, path string) {
	s.history = components.NewHistory(doc)
	s.saved, s.path = doc, path
	s.selected, s.question, s.wish, s.drawn, s.plan, s.tryout = nil, nil, nil, nil, nil, nil
	s.tool = &Hand{}
	s.checks.state, s.checks.report, s.checks.live, s.checks.failed = "", nil, nil, ""
	s.checks.fault, s.checks.took, s.told = Fault{}, 0, News{}
	s.phase, s.paper = Everything, scene.Box{}
	if size(doc) > soon { // a smaller one is drawn whole when it is first shown
		s.drawn = sketched(s.look())
	}
	s.check()
	s.changed(DocChanged | SelectionChanged | PreviewChanged | CheckedChanged | FileChanged)
}

// Watch calls f after every change.
func (s *Session) Watch(f func(Change)) { s.watch = append(s.watch, f) }

func (s *Session) changed(c Change) {
	for _, f := range s.watch {
		f(c)
	}
}

// Doc is the present document.
func (s *Session) Doc() *components.Document { return s.history.Now() }

// Do applies edits as one step, or tells why they do not fit.
func (s *Session) Do(label string, edits ...components.Edit) error {
	if len(edits) == 0 {
		return nil
	}
	if err := s.history.Do(label, edits...); err != nil {
		s.Tell(Wrong, "%s: %v", label, err)
		return err
	}
	if s.told.Mood == Plain {
		s.told = News{} // it was about what was there before; a warning stands
	}
	s.moved()
	return nil
}

// Undo steps back and tells what was taken back.
func (s *Session) Undo() {
	if label, ok := s.history.Undo(); ok {
		s.moved()
		s.Tell(Plain, "Taken back: %s", label)
	}
}

// Redo steps forward again.
func (s *Session) Redo() {
	if label, ok := s.history.Redo(); ok {
		s.moved()
		s.Tell(Plain, "Done again: %s", label)
	}
}

// UndoLabel and RedoLabel name the next steps back and forward, "" for none.
func (s *Session) UndoLabel() string { return s.history.UndoLabel() }

// RedoLabel names the next step forward.
func (s *Session) RedoLabel() string { return s.history.RedoLabel() }

// moved follows the history to another document.
func (s *Session) moved() {
	s.question, s.tryout, s.checks.fault = nil, nil, Fault{}
	s.redraw()
	kept := slices.DeleteFunc(slices.Clone(s.selected), func(id components.ID) bool { return !s.has(id) })
	change := DocChanged | FileChanged | CheckedChanged | PreviewChanged
	if !slices.Equal(kept, s.selected) {
		s.selected = kept
		change |= SelectionChanged
	}
	s.tool.Cancel(s)
	s.await(s.check())
	s.changed(change)
}

// redraw lets the sheet be drawn again: when it is asked for where the rig is
// small, and otherwise from behind, with a patched one meanwhile.
func (s *Session) redraw() {
	slow := s.checks.patience > 0 && s.took > atOnce
	if size(s.Doc()) <= instant && !slow || s.phase != Everything {
		s.drawn = nil
		return
	}
	if s.drawn == nil || s.drawn.at.phase != s.phase {
		s.drawn = sketched(s.look())
		return
	}
	s.drawn = patched(s.drawn, s.look())
}

func (s *Session) has(id components.ID) bool {
	_, part := s.Doc().Part(id)
	_, run := s.Doc().Run(id)
	_, note := s.NoteOf(id)
	return part || run || note
}

// Mood is how a piece of news is meant.
type Mood int

// The moods.
const (
	Plain Mood = iota
	Wrong      // something could not be done
)

// News is the last thing that the session has to say.
type News struct {
	Text string
	Mood Mood
}

// Tell puts a line where the person reads it.
func (s *Session) Tell(mood Mood, format string, args ...any) {
	s.told = News{fmt.Sprintf(format, args...), mood}
	s.changed(ToldChanged)
}

// Told is the last piece of news.
func (s *Session) Told() News { return s.told }
