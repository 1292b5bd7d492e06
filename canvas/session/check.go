package session

import (
	"context"
	"fmt"

	"rigline/components"
	"rigline/export/scene"
	"rigline/rules"
)

// checking is what runs behind the session and what came back last.
type checking struct {
	cancel context.CancelFunc
	report *rules.Report // of some document, perhaps an older one
	failed string        // why the last check gave no report
	state  string        // the operating state that is shown, "" for none
	live   *Live         // of the present document and state, or an older one
}

// check starts checking the present document behind the session. The next edit
// cancels it; a result whose document is no longer the present one is dropped.
func (s *Session) check() {
	if s.checks.cancel != nil {
		s.checks.cancel()
	}
	ctx, cancel := context.WithCancel(context.Background())
	s.checks.cancel = cancel
	doc, state := s.Doc(), s.checks.state
	go func() {
		defer cancel()
		if state != "" {
			s.energize(ctx, doc, state)
		}
		report, err := checkAll(ctx, doc, s.book)
		if ctx.Err() != nil {
			return
		}
		s.post(func() {
			if s.Doc() != doc {
				return
			}
			s.checks.report, s.checks.failed = report, ""
			if err != nil {
				s.checks.report, s.checks.failed = nil, err.Error()
			}
			s.sheet = nil
			s.changed(CheckedChanged)
		})
	}()
}

// checkAll keeps a rule that trips over its own feet from taking the person's
// work with it. A check that failed is never taken for a clean one.
func checkAll(ctx context.Context, doc *components.Document, book []*rules.Rule) (report *rules.Report, err error) {
	defer func() {
		if r := recover(); r != nil {
			report, err = nil, fmt.Errorf("a rule failed: %v", r)
		}
	}()
	return rules.Check(ctx, doc, book)
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
		return "Nothing drawn yet. Take a part from the shelf on the left", 0
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

// Marks are the report's open findings as numbers on the sheet, in the order of
// the list beside it. They hold no text: the window has its own list, and one on
// the paper would make the paper grow and shrink with every edit.
func (s *Session) Marks() []scene.Mark {
	report, _ := s.Report()
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

// Repair carries out a finding's repair. One that was made for an older document
// is applied to the present one where it still fits.
func (s *Session) Repair(fix rules.Fix) error { return s.Do(fix.Title, fix.Edits...) }

// Accept takes a finding as it is, with a reason.
func (s *Session) Accept(f rules.Finding, reason, by string) error {
	a := components.Acceptance{Rule: f.Rule.ID, On: []string{f.At}, Reason: reason, By: by}
	return s.Do("Accept "+f.Rule.Title+" at "+f.At, components.Accept{Acceptance: a})
}

// Unaccept takes an acceptance back.
func (s *Session) Unaccept(a components.Acceptance) error {
	return s.Do("Take back the acceptance of "+a.Rule, components.Unaccept{Rule: a.Rule, On: a.On})
}
