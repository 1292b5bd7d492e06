package session

import (
	"time"

	"rigline/components"
	"rigline/export/scene"
	"rigline/export/terms"
	"rigline/rules"
)

// Phase is which stage of the retrofit the sheet shows.
type Phase int

// The phases: all that is drawn, what is there before the work, what is there
// after it.
const (
	Everything Phase = iota
	Before
	After
)

// Phase is the stage that the sheet shows.
func (s *Session) Phase() Phase { return s.phase }

// ShowPhase shows a stage of the retrofit. The rules always look at what will be
// there after it.
func (s *Session) ShowPhase(p Phase) {
	if s.phase == p {
		return
	}
	s.phase, s.drawn = p, nil
	if s.View.Holds == AllDrawn { // what is there before and after stands still
		s.View.Holds = Nothing
	}
	s.check()
	s.changed(DocChanged | PreviewChanged)
}

// in leaves out of a document what a phase does not show.
func (p Phase) in(doc *components.Document) *components.Document {
	if p == Everything {
		return doc
	}
	hidden := func(st components.Status) bool {
		if p == Before {
			return st != components.Existing && st != components.Remove
		}
		return st == components.Remove
	}
	var ids []components.ID
	for _, part := range doc.Parts() {
		if hidden(part.Status) {
			ids = append(ids, part.ID)
		}
	}
	for _, r := range doc.Runs() {
		if hidden(r.Status) {
			ids = append(ids, r.ID)
		}
	}
	shown, err := doc.Apply(doc.Delete(ids...)...)
	if err != nil { // a deletion of what is there cannot fail; if it did, nothing may be missing from the sheet
		return doc
	}
	return shown
}

// drawSheet draws what a look shows, with the marks of a report and the figures of
// a state. Lines that an earlier plan has are not routed again; it may be nil. Paper is
// where the paper lies, so that nothing moves under the hand.
func drawSheet(at look, report *rules.Report, live *Live, last *scene.Plan, paper scene.Box) *drawn {
	o := scene.Options{Frame: true, Marks: marksOf(report), Paper: paper}
	say := terms.Of(at.doc).Say
	if live != nil {
		o.Live = live.On
		o.Meta.Subtitle = "State: " + say(live.State)
		if live.Fault.What != NoMishap {
			o.Meta.Subtitle += ", what if " + say(live.Fault.String())
		}
	}
	switch at.phase {
	case Before:
		o.Meta.Subtitle = "Before the retrofit"
	case After:
		o.Meta.Subtitle = "After the retrofit"
	}
	begun := time.Now()
	plan := last.Next(at.phase.in(at.doc))
	d := newDrawn(plan.Draw(o), at, report)
	d.live, d.plan, d.took = live, plan, time.Since(begun)
	return d
}

// Sheet is the present document drawn, with the last marks and, in a chosen state,
// its figures. A large rig is shown at once as the last drawing with what changed
// patched in; the whole drawing follows from behind.
func (s *Session) Sheet() *scene.Sheet {
	if s.drawn == nil {
		var live *Live
		if l, ok := s.Live(); ok {
			live = l
		}
		report, _ := s.Report()
		s.showSheet(drawSheet(s.look(), report, live, s.plan, s.paper))
	}
	return s.drawn.sheet
}

// showSheet puts a drawing in place of the last. A window that shows the whole
// sheet goes on doing so when the paper grows, and one that was fitted to all that is
// drawn is so again when the same rig's words and marks follow its symbols.
func (s *Session) showSheet(d *drawn) {
	old := s.paper
	s.drawn, s.paper = d, d.sheet.Paper
	if !d.quick {
		s.plan, s.took = d.plan, d.took
	}
	switch {
	case s.View.Holds == WholeSheet && s.paper != old:
		s.View.fit(s.paper)
		s.View.Holds = WholeSheet
	case s.View.Holds == AllDrawn && s.fitted == d.at.doc:
		s.fitDrawn()
	}
}
