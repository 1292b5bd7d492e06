package command

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"rigline/components"
	"rigline/export/report"
	"rigline/projects"
	"rigline/rules"
	"rigline/rules/checks"
)

var fix = &Command{
	Name: "fix", Args: "[--rule NAME] [--all] [--write] FILE",
	Does:    "The proposed repairs and what each comes to; with --write the file with the first that serves of each finding applied.",
	Example: "fix kitchen.yaml --rule overcurrent.battery-unfused --write",
	Run: func(c *call) (int, error) {
		rule := c.String("rule", "", "findings of this rule alone")
		all := c.Bool("all", false, "advice too")
		write := c.Bool("write", false, "apply and save")
		files, err := c.parse(1, 1, "one file")
		if err != nil {
			return Failed, err
		}
		if *rule != "" && findRule(*rule) == nil {
			return Failed, usagef("--rule %q: there is no such rule%s", *rule, components.DidYouMean(*rule, ruleIDs()))
		}
		if *write && files[0] == "-" {
			return Failed, usagef("--write needs a file: standard input cannot be written")
		}
		doc, index, err := c.load(files[0])
		if err != nil {
			return Failed, err
		}
		first, err := rules.Check(context.Background(), doc, checks.All)
		if err != nil {
			return Failed, err
		}
		w := &workshop{book: checks.All, doc: doc, report: first, rule: *rule, advice: *all || *rule != ""}
		if *write {
			return c.repair(w, files[0])
		}
		return c.propose(w, files[0], index)
	},
}

func findRule(id string) *rules.Rule {
	for _, r := range checks.All {
		if r.ID == id {
			return r
		}
	}
	return nil
}

func ruleIDs() []string {
	ids := make([]string, len(checks.All))
	for i, r := range checks.All {
		ids[i] = r.ID
	}
	return ids
}

// workshop holds a document with its findings while it is repaired.
type workshop struct {
	book   []*rules.Rule
	doc    *components.Document
	report *rules.Report
	rule   string // "" for every rule
	advice bool   // advice is repaired too
}

// wanted tells whether a finding is among those to repair.
func (w *workshop) wanted(f rules.Finding) bool {
	return f.Accepted == nil && (f.Level > rules.Advice || w.advice) && (w.rule == "" || f.Rule.ID == w.rule)
}

// trial is a document after a repair, checked, and what came of it.
type trial struct {
	doc     *components.Document
	report  *rules.Report
	cleared int      // open findings that are gone
	refused []string // why it may not be applied: each a danger, or the finding that stays
}

// try applies a repair to a copy and checks it. A repair that leaves its finding
// standing or raises a danger that was not there is refused.
func (w *workshop) try(f rules.Finding, x rules.Fix) (trial, error) {
	next, err := w.doc.Apply(x.Edits...)
	if err != nil {
		return trial{refused: []string{"it does not fit: " + err.Error()}}, nil
	}
	after, err := rules.Check(context.Background(), next, w.book)
	if err != nil {
		return trial{}, err
	}
	t := trial{doc: next, report: after}
	had, has := standing(w.report), standing(after)
	for key := range had {
		if _, stays := has[key]; !stays {
			t.cleared++
		}
	}
	for _, g := range after.All() {
		old, was := had[place{g.Rule, g.At}]
		switch {
		case g.Rule == f.Rule && g.At == f.At && g.Level >= f.Level:
			t.refused = append(t.refused, "it leaves standing: "+g.Message)
		case g.Level == rules.Danger && g.Accepted == nil && (!was || old < rules.Danger):
			t.refused = append(t.refused, fmt.Sprintf("it would raise a danger at %s: %s", g.At, g.Message))
		}
	}
	return t, nil
}

// place is what tells one finding from another.
type place struct {
	rule *rules.Rule
	at   string
}

// standing are the worst levels by place.
func standing(r *rules.Report) map[place]rules.Level {
	all := map[place]rules.Level{}
	for _, f := range r.All() {
		key := place{f.Rule, f.At}
		all[key] = max(all[key], f.Level)
	}
	return all
}

// propose tells the repairs of each finding, their edits, and what stands after.
func (c *call) propose(w *workshop, file string, index *projects.Index) (int, error) {
	d := report.Of(w.report, file, index)
	told := []report.Finding{}
	code := Content
	var b strings.Builder
	for i, f := range w.report.Findings {
		if !w.wanted(f) {
			continue
		}
		told, code = append(told, d.Findings[i]), Found
		if *c.json {
			continue
		}
		fmt.Fprintf(&b, "%s  %s  (%s)\n  %s\n", strings.ToUpper(f.Level.String()), strings.Join(f.Addresses(), ", "), f.Rule.ID, f.Message)
		if len(f.Fixes) == 0 {
			b.WriteString("  No repair by itself: it needs a decision.\n")
		}
		for n, x := range f.Fixes {
			fmt.Fprintf(&b, "  %d. %s\n", n+1, x.Title)
			for _, e := range x.Edits {
				fmt.Fprintf(&b, "       %s\n", was(w.doc, e))
			}
			t, err := w.try(f, x)
			if err != nil {
				return Failed, err
			}
			for _, why := range t.refused {
				fmt.Fprintf(&b, "     Not to be applied as it is: %s.\n", why)
			}
			if len(t.refused) == 0 {
				fmt.Fprintf(&b, "     Clears %s. Then: %s.\n", findings(t.cleared), t.report.Readiness())
			}
		}
		b.WriteString("\n")
	}
	if *c.json {
		d.Findings = told
		return code, report.JSON(c.stdout, d)
	}
	if len(told) == 0 {
		fmt.Fprintf(&b, "%s: nothing to repair. %s.\n", file, w.report.Readiness())
	}
	_, err := io.WriteString(c.stdout, b.String())
	return code, err
}

func findings(n int) string {
	if n == 1 {
		return "1 finding"
	}
	return fmt.Sprintf("%d findings", n)
}

// was tells an edit with what stood there before.
func was(doc *components.Document, e components.Edit) string {
	set, ok := e.(components.Set)
	if !ok {
		return e.String()
	}
	var v components.Value
	var from components.Origin
	if p, ok := doc.Part(set.On); ok {
		v, from = p.Value(set.Key)
	} else if r, ok := doc.Run(set.On); ok {
		v, from = r.Value(set.Key)
	}
	switch {
	case v.IsUnknown():
		return e.String() + " (was unknown)"
	case from == components.Missing:
		return e.String() + " (was not told)"
	case from == components.Default:
		return fmt.Sprintf("%s (was %s by default)", e, v)
	}
	return fmt.Sprintf("%s (was %s)", e, v)
}

// repair applies and saves, and tells what was done and what is left.
func (c *call) repair(w *workshop, file string) (int, error) {
	done, err := w.work()
	if err != nil {
		return Failed, err
	}
	if len(done) > 0 {
		if err := projects.Save(file, w.doc); err != nil {
			return Failed, err
		}
	}
	code, left := Content, []string{}
	for _, f := range w.report.Findings {
		if w.wanted(f) {
			code = Found
			left = append(left, fmt.Sprintf("%s %s: %s", f.Level, f.At, f.Message))
		}
	}
	if *c.json {
		return code, json.NewEncoder(c.stdout).Encode(map[string]any{"format": report.Format, "file": file, "applied": done, "left": left,
			"ready": w.report.Ready(), "readiness": w.report.Readiness()})
	}
	var b strings.Builder
	for _, d := range done {
		fmt.Fprintf(&b, "applied: %s (%s)\n", d.Says, d.Rule)
		for _, e := range d.Edits {
			fmt.Fprintf(&b, "           %s\n", e)
		}
	}
	for _, l := range left {
		fmt.Fprintf(&b, "left: %s\n", l)
	}
	if len(done) == 0 {
		b.WriteString("nothing was changed\n")
	}
	fmt.Fprintf(&b, "%s: %s.\n", file, w.report.Readiness())
	_, err = io.WriteString(c.stdout, b.String())
	return code, err
}

// job is a repair that was applied.
type job struct {
	Rule  string   `json:"rule"`
	Says  string   `json:"says"`
	Edits []string `json:"edits"`
}

// mostRepairs ends repairs that go round in a circle.
const mostRepairs = 200

// work applies the first repair that may be applied, worst finding first, checks
// again, and goes on until none is left.
func (w *workshop) work() ([]job, error) {
	done := []job{}
	tried := map[string]bool{}
	for range mostRepairs {
		j, err := w.next(tried)
		if err != nil || j == nil {
			return done, err
		}
		done = append(done, *j)
	}
	return done, nil
}

func (w *workshop) next(tried map[string]bool) (*job, error) {
	for _, f := range w.report.Findings {
		if !w.wanted(f) {
			continue
		}
		for _, x := range f.Fixes {
			key := f.Rule.ID + "\x00" + f.At + "\x00" + x.Title
			if tried[key] {
				continue
			}
			tried[key] = true
			t, err := w.try(f, x)
			if err != nil {
				return nil, err
			}
			if len(t.refused) > 0 {
				continue
			}
			j := &job{Rule: f.Rule.ID, Says: x.Title, Edits: []string{}}
			for _, e := range x.Edits {
				j.Edits = append(j.Edits, was(w.doc, e))
			}
			w.doc, w.report = t.doc, t.report
			return j, nil
		}
	}
	return nil, nil
}
