package session

import (
	"context"
	"fmt"
	"time"

	"rigline/components"
	"rigline/export/scene"
	"rigline/rules"
)

// checking is what runs behind the session and what came back last.
type checking struct {
	cancel context.CancelFunc
	report *rules.Report // of some document, perhaps an older one
	took   time.Duration // for that report, from the edit on
	failed string        // why the last check gave no report
	state  string        // the operating state that is shown, "" for none
	live   *Live         // of the present document and state, or an older one
	fault  Fault         // the what-if that is shown

	patience time.Duration // how long an edit waits for its findings
}

// outcome is what a check behind the session comes to.
type outcome struct {
	at     look
	report *rules.Report
	err    error
	live   *Live
	took   time.Duration
	taken  bool
}

// Patience sets how long an edit of a small rig waits for its findings, so that both
// are in one picture: about a frame, which no hand feels. Later ones follow when
// they are there. It is none to begin with.
func (s *Session) Patience(most time.Duration) { s.checks.patience = most }

// Frame is a little more than the time between two pictures, at sixty a second.
const Frame = 20 * time.Millisecond

// soon is how many parts and runs a rig may have whose findings are worth the wait the
// first time. Later they are where the last check was done within it.
const soon = 250

// look is what the work behind the session is about: where any of it has changed
// when the work is done, the outcome is dropped.
type look struct {
	doc   *components.Document
	state string
	phase Phase
	fault Fault
}

func (s *Session) look() look { return look{s.Doc(), s.checks.state, s.phase, s.checks.fault} }

// empty is the same look at a sheet with nothing on it.
func (l look) empty() look {
	l.doc = components.NewDocument(l.doc.Title)
	return l
}

// rulesFirst tells whether the rules are done sooner than the drawing, so that the
// findings come first: as the last check was, and by the size where there was none.
func (s *Session) rulesFirst() bool {
	const quickly, quick = 800, 250 * time.Millisecond
	if s.checks.took == 0 {
		return size(s.Doc()) <= quickly
	}
	return s.checks.took <= quick
}

// check works behind the session: it solves the chosen state, runs the rules and
// draws the sheet with what came of it. The next edit cancels it. A report of the
// present document that is there already is not made again. A large rig that was
// only patched is drawn while the rules still run. The outcome is posted, and can be
// had sooner from done.
func (s *Session) check() (done <-chan *outcome) {
	if s.checks.cancel != nil {
		s.checks.cancel()
	}
	ctx, cancel := context.WithCancel(context.Background())
	s.checks.cancel = cancel
	at, book := s.look(), s.book
	report, current := s.Report()
	stale := report
	if !current {
		report = nil
	}
	plan, paper := s.plan, s.paper
	if s.drawn != nil && s.drawn.quick && report == nil && !s.rulesFirst() {
		go func() {
			sheet := drawSheet(at, stale, nil, plan, paper)
			if ctx.Err() == nil {
				s.post(func() { s.takeSheet(at, sheet) })
			}
		}()
	}
	found := make(chan *outcome, 1)
	var later time.Duration
	if s.checks.patience > 0 {
		later = afterwards
	}
	begun, took := time.Now(), s.checks.took
	go func() {
		defer cancel()
		var err error
		if report == nil {
			report, err = checkAll(ctx, stale, at.doc, book)
			took = time.Since(begun)
		}
		if ctx.Err() != nil {
			return
		}
		var live *Live
		if at.state != "" {
			live = liveNamed(at.doc, report, at.state, at.fault)
		}
		o := &outcome{at: at, report: report, err: err, live: live, took: took}
		found <- o
		s.post(func() {
			if s.take(o) {
				s.changed(CheckedChanged)
			}
			s.goOn()
		})
		if !s.wantsSheet(ctx, o, later) {
			return
		}
		sheet := drawSheet(at, report, live, plan, paper)
		if ctx.Err() != nil {
			return
		}
		s.post(func() { s.takeSheet(at, sheet) })
	}()
	return found
}

// afterwards is how long the whole drawing waits behind the findings, where an edit
// waits for them: the picture that shows both has the processor to itself first.
const afterwards = 40 * time.Millisecond

// wantsSheet waits a while behind an outcome, and tells whether the sheet is still to be
// drawn then: the window may have drawn a small one by itself, or have gone on. It is
// asked behind the session.
func (s *Session) wantsSheet(ctx context.Context, o *outcome, later time.Duration) bool {
	if later > 0 {
		select {
		case <-time.After(later):
		case <-ctx.Done():
			return false
		}
	}
	wants := make(chan bool, 1)
	s.post(func() { wants <- s.look() == o.at && !s.shows(o) })
	select {
	case yes := <-wants:
		return yes
	case <-ctx.Done():
		return false
	}
}

// shows tells whether the drawing is whole and of an outcome.
func (s *Session) shows(o *outcome) bool {
	d := s.drawn
	return d != nil && !d.quick && d.at == o.at && d.report == o.report && d.live == o.live
}

// await takes the outcome of a check that is done within the session's patience.
func (s *Session) await(done <-chan *outcome) {
	quick := size(s.Doc()) <= soon || s.checks.took > 0 && s.checks.took <= s.checks.patience
	if s.checks.patience <= 0 || !quick {
		return
	}
	late := time.NewTimer(s.checks.patience)
	defer late.Stop()
	select {
	case o := <-done:
		s.take(o)
	case <-late.C:
	}
}

// take brings an outcome in, once, if it still is about what the session shows. It
// tells whether it has.
func (s *Session) take(o *outcome) bool {
	if o.taken || s.look() != o.at {
		return false
	}
	o.taken = true
	s.checks.report, s.checks.took, s.checks.failed, s.checks.live = o.report, o.took, "", o.live
	if o.err != nil {
		s.checks.report, s.checks.failed = nil, o.err.Error()
	}
	if o.at.state != "" && o.live == nil { // the state went with the part that made it
		s.checks.state, s.checks.fault = "", Fault{}
	}
	return true
}

// takeSheet brings a drawing in, if it still is of what the session shows. One
// with older marks never takes the place of one with newer.
func (s *Session) takeSheet(at look, d *drawn) {
	if s.look() != at {
		return
	}
	report, current := s.Report()
	if current && d.report != report && s.drawn != nil && s.drawn.report == report && !s.drawn.quick {
		return
	}
	view := s.View
	s.showSheet(d)
	if s.View != view {
		s.changed(ViewChanged)
	}
	s.changed(DrawnChanged)
}

// WholeDrawn tells whether the present document is drawn whole, and not patched.
func (s *Session) WholeDrawn() bool { return s.drawn != nil && !s.drawn.quick }

// Settled tells whether the present document is checked and its drawing shows
// what came of it.
func (s *Session) Settled() bool {
	report, current := s.Report()
	if s.checks.failed != "" {
		return true
	}
	return current && s.drawn != nil && !s.drawn.quick && s.drawn.report == report && s.drawn.live == s.checks.live && (s.State() == "" || s.drawn.live != nil)
}

// checkAll keeps a rule that trips over its own feet from taking the person's
// work with it. A check that failed is never taken for a clean one. last is the
// report of an earlier document, nil for none.
func checkAll(ctx context.Context, last *rules.Report, doc *components.Document, book []*rules.Rule) (report *rules.Report, err error) {
	defer func() {
		if r := recover(); r != nil {
			report, err = nil, fmt.Errorf("a rule failed: %v", r)
		}
	}()
	return rules.CheckNext(ctx, last, doc, book)
}

// Report is the last report, and whether it is of the present document. It is nil
// before the first.
func (s *Session) Report() (report *rules.Report, current bool) {
	r := s.checks.report
	return r, r != nil && r.Doc == s.Doc()
}

// Readiness is the line under the sheet, and how loud it is.
func (s *Session) Readiness() (line string, level rules.Level) {
	report, current := s.Report()
	switch {
	case s.checks.failed != "":
		return "Not checked: " + s.checks.failed + ". Do not rely on this drawing", rules.Danger
	case len(s.Doc().Parts()) == 0:
		return "Nothing drawn yet. Answer a few questions, or take a part from the shelf on the left", 0
	case !current:
		return "Checking …", 0
	}
	c := report.Counts()
	switch {
	case c.Danger > 0:
		level = rules.Danger
	case c.Violation > 0:
		level = rules.Violation
	case c.Unchecked > 0:
		level = rules.Advice
	}
	return report.Readiness(), level
}

// marksOf are a report's open findings as numbers on the sheet, in the order of
// the list beside it. They hold no text: the window has its own list, and one on
// the paper would make the paper grow and shrink with every edit.
func marksOf(report *rules.Report) []scene.Mark {
	if report == nil {
		return nil
	}
	var marks []scene.Mark
	for i, f := range report.Findings {
		if f.Accepted != nil {
			continue
		}
		marks = append(marks, scene.Mark{Address: f.At, Level: markLevel(f.Level), Number: i + 1})
	}
	return marks
}

func markLevel(l rules.Level) scene.Level {
	switch l {
	case rules.Danger:
		return scene.DangerMark
	case rules.Violation:
		return scene.ViolationMark
	}
	return scene.AdviceMark
}

// Finding is a finding of the present report by its number.
func (s *Session) Finding(number int) (f rules.Finding, ok bool) {
	report, current := s.Report()
	if !current || number < 1 || number > len(report.Findings) {
		return f, false
	}
	return report.Findings[number-1], true
}

// ShowFinding selects what a finding is about and asks for its place in the list.
func (s *Session) ShowFinding(number int) {
	s.missed = Lack{}
	f, ok := s.Finding(number)
	if !ok {
		return
	}
	if id, ok := s.Owner(f.At); ok {
		s.Select(id)
	}
	s.wanted, s.found = number, f
	s.changed(FindingWanted)
}

// RepairFirst carries out the first repair of the finding that was gone to last, or
// of the first one.
func (s *Session) RepairFirst() {
	f, ok := s.Finding(max(1, s.wanted))
	if !ok {
		s.Tell(Plain, "There is no finding to repair")
		return
	}
	if len(f.Fixes) == 0 {
		s.Tell(Plain, "%s at %s has no repair to offer: it is for you to decide", f.Rule.Title, f.At)
		return
	}
	if s.Repair(f.Fixes[0]) == nil {
		s.Tell(Plain, "Done: %s", f.Fixes[0].Title)
	}
}

// Wanted is the number of the finding that was asked for last.
func (s *Session) Wanted() int { return s.wanted }

// Repair carries out a finding's repair. One that was made for an older document
// is applied to the present one where it still fits.
func (s *Session) Repair(fix rules.Fix) error { return s.Do(fix.Title, fix.Edits...) }

// Accept takes a finding as it is, with a reason.
func (s *Session) Accept(f rules.Finding, reason, by string) error {
	a := components.Acceptance{Rule: f.Rule.ID, On: []string{f.At}, Reason: reason, By: by, Level: f.Level.String()}
	return s.Do("Accept "+f.Rule.Title+" at "+f.At, components.Accept{Acceptance: a})
}

// Unaccept takes an acceptance back.
func (s *Session) Unaccept(a components.Acceptance) error {
	return s.Do("Take back the acceptance of "+a.Rule, components.Unaccept{Rule: a.Rule, On: a.On})
}
