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
	"rigline/rules/mending"
)

var fix = &Command{
	Name: "fix", Args: "[--rule NAME] [--all] [--write] FILE",
	Does:    "The proposed repairs and what each comes to; with --write the file with the first that serves of each finding applied. What takes a part off the drawing is proposed alone.",
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
		w := &mending.Bench{Book: checks.All, Doc: doc, Report: first, Wanted: toRepair(*rule, *all || *rule != "")}
		if *write {
			return c.repair(w, files[0])
		}
		return c.propose(w, files[0], index)
	},
}

// toRepair tells which findings are to be repaired: of one rule, "" for any, and advice
// too or not.
func toRepair(rule string, advice bool) func(rules.Finding) bool {
	return func(f rules.Finding) bool {
		return f.Accepted == nil && (f.Level > rules.Advice || advice) && (rule == "" || f.Rule.ID == rule)
	}
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

// propose tells the repairs of each finding, their edits, and what stands after.
func (c *call) propose(w *mending.Bench, file string, index *projects.Index) (int, error) {
	d := report.Of(w.Report, file, index)
	told := []report.Finding{}
	code := Content
	var b strings.Builder
	for i, f := range w.Report.Findings {
		if !w.Wanted(f) {
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
				fmt.Fprintf(&b, "       %s\n", was(w.Doc, e))
			}
			t, err := w.Try(context.Background(), f, x)
			if err != nil {
				return Failed, err
			}
			for _, why := range t.Refused {
				fmt.Fprintf(&b, "     Not to be applied as it is: %s.\n", why)
			}
			if len(t.Refused) == 0 {
				fmt.Fprintf(&b, "     Clears %s. Then: %s.\n", findings(t.Cleared), t.Report.Readiness())
			}
			if x.TakesOff {
				b.WriteString("     For a person to choose: --write leaves what was drawn on the drawing.\n")
			}
		}
		b.WriteString("\n")
	}
	if *c.json {
		d.Findings = told
		return code, report.JSON(c.stdout, d)
	}
	if len(told) == 0 {
		fmt.Fprintf(&b, "%s: nothing to repair. %s.\n", file, w.Report.Readiness())
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
func (c *call) repair(w *mending.Bench, file string) (int, error) {
	work, err := w.Work(context.Background())
	if err != nil {
		return Failed, err
	}
	done := []job{}
	for _, d := range work {
		done = append(done, jobOf(d))
	}
	if len(done) > 0 {
		if err := projects.Save(file, w.Doc); err != nil {
			return Failed, err
		}
	}
	code, left := Content, []string{}
	for _, f := range w.Report.Findings {
		if w.Wanted(f) {
			code = Found
			left = append(left, fmt.Sprintf("%s %s: %s", f.Level, f.At, f.Message)+toChoose(f))
		}
	}
	if *c.json {
		return code, json.NewEncoder(c.stdout).Encode(map[string]any{"format": report.Format, "file": file, "applied": done, "left": left,
			"ready": w.Report.Ready(), "readiness": w.Report.Readiness()})
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
	fmt.Fprintf(&b, "%s: %s.\n", file, w.Report.Readiness())
	_, err = io.WriteString(c.stdout, b.String())
	return code, err
}

// toChoose names the repairs of a finding that take a part off the drawing.
func toChoose(f rules.Finding) string {
	var titles []string
	for _, x := range f.Fixes {
		if x.TakesOff {
			titles = append(titles, x.Title)
		}
	}
	if len(titles) == 0 {
		return ""
	}
	return fmt.Sprintf(" (for a person to choose: %s)", strings.Join(titles, "; "))
}

// job is a repair that was applied.
type job struct {
	Rule  string   `json:"rule"`
	Says  string   `json:"says"`
	Edits []string `json:"edits"`
}

func jobOf(d mending.Done) job {
	j := job{Rule: d.Of.Rule.ID, Says: d.Fix.Title, Edits: []string{}}
	for _, e := range d.Fix.Edits {
		j.Edits = append(j.Edits, was(d.Before, e))
	}
	return j
}
