package command

import (
	"context"
	"encoding/json"
	"fmt"

	"rigline/components"
	"rigline/export/report"
	"rigline/projects"
	"rigline/rules"
	"rigline/rules/checks"
)

var fix = &Command{
	Name: "fix", Args: "[--rule NAME] [--write] FILE",
	Does:    "The proposed repairs, or the file with the first repair of each finding applied.",
	Example: "fix kitchen.yaml --rule overcurrent.battery-unfused --write",
	Run: func(c *call) (int, error) {
		rule := c.String("rule", "", "findings of this rule alone")
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
		r, err := rules.Check(context.Background(), doc, checks.All)
		if err != nil {
			return Failed, err
		}
		if !*write {
			return c.propose(report.Of(r, files[0], index), *rule)
		}
		fixed, done, left, err := repair(doc, r, *rule)
		if err != nil {
			return Failed, err
		}
		if len(done) > 0 {
			if err := projects.Save(files[0], fixed); err != nil {
				return Failed, err
			}
		}
		after, err := rules.Check(context.Background(), fixed, checks.All)
		if err != nil {
			return Failed, err
		}
		if *c.json {
			return status(after, rules.Violation), json.NewEncoder(c.stdout).Encode(map[string]any{"format": report.Format, "file": files[0], "applied": done, "left": left, "readiness": after.Readiness()})
		}
		for _, d := range done {
			fmt.Fprintf(c.stdout, "applied: %s\n", d)
		}
		for _, l := range left {
			fmt.Fprintf(c.stdout, "left: %s\n", l)
		}
		fmt.Fprintf(c.stdout, "%s: %s.\n", files[0], after.Readiness())
		return status(after, rules.Violation), nil
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

func (c *call) propose(d report.Document, rule string) (int, error) {
	var with []report.Finding
	for _, f := range d.Findings {
		if rule == "" || f.Rule == rule {
			with = append(with, f)
		}
	}
	code := Content
	if len(with) > 0 {
		code = Found
	}
	if *c.json {
		d.Findings = with
		return code, report.JSON(c.stdout, d)
	}
	for _, f := range with {
		fmt.Fprintf(c.stdout, "%s %s: %s\n", f.Severity, f.On[0], f.Says)
		if len(f.Fixes) == 0 {
			fmt.Fprintln(c.stdout, "  no repair by itself: it needs a decision")
		}
		for i, x := range f.Fixes {
			fmt.Fprintf(c.stdout, "  %d. %s\n", i+1, x.Says)
			for _, e := range x.Edits {
				fmt.Fprintf(c.stdout, "     %s\n", e.Says())
			}
		}
	}
	if len(with) == 0 {
		fmt.Fprintln(c.stdout, "nothing to repair")
	}
	return code, nil
}

// mostRepairs ends a repair that goes round in a circle.
const mostRepairs = 200

// repair applies the first repair that fits, worst finding first, checks again,
// and goes on until nothing more can be repaired. A repair that leaves its
// finding or brings a new danger is not taken.
func repair(doc *components.Document, r *rules.Report, rule string) (*components.Document, []string, []string, error) {
	var done, left []string
	tried := map[string]bool{}
	for range mostRepairs {
		next, title, report, err := oneRepair(doc, r, rule, tried)
		if err != nil {
			return nil, nil, nil, err
		}
		if next == nil {
			break
		}
		doc, r = next, report
		done = append(done, title)
	}
	for _, f := range r.Findings {
		if f.Accepted == nil && f.Level > rules.Advice && (rule == "" || f.Rule.ID == rule) {
			left = append(left, fmt.Sprintf("%s %s: %s", f.Level, f.At, f.Message))
		}
	}
	return doc, done, left, nil
}

func oneRepair(doc *components.Document, r *rules.Report, rule string, tried map[string]bool) (*components.Document, string, *rules.Report, error) {
	for _, f := range r.Findings {
		if f.Accepted != nil || f.Level == rules.Advice && rule == "" || rule != "" && f.Rule.ID != rule {
			continue
		}
		for _, x := range f.Fixes {
			key := f.Rule.ID + f.At + x.Title
			if tried[key] {
				continue
			}
			tried[key] = true
			next, err := doc.Apply(x.Edits...)
			if err != nil {
				continue
			}
			after, err := rules.Check(context.Background(), next, checks.All)
			if err != nil {
				return nil, "", nil, err
			}
			if clears(f, r, after) {
				return next, x.Title, after, nil
			}
		}
	}
	return nil, "", nil, nil
}

// clears tells whether a finding is gone and no new danger has come.
func clears(f rules.Finding, before, after *rules.Report) bool {
	had := map[string]bool{}
	for _, g := range before.Findings {
		had[g.Rule.ID+g.At] = true
	}
	for _, g := range after.Findings {
		if g.Rule == f.Rule && g.At == f.At && g.Level >= f.Level || g.Level == rules.Danger && !had[g.Rule.ID+g.At] {
			return false
		}
	}
	return true
}
