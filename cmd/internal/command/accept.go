package command

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"rigline/components"
	"rigline/export/report"
	"rigline/projects"
	"rigline/rules"
	"rigline/rules/checks"
)

var accept = &Command{
	Name: "accept", Args: "FILE [RULE ADDRESS ...] [--reason TEXT --by NAME] [--take-back] [--write]",
	Does:    "Findings taken as they are, each with its reason; or, with RULE and ADDRESS, one more taken so or taken back.",
	Example: `accept library.yaml battery.bms-single-trip BAT1 --reason "dark until reset is fine" --by "the fitter" --write`,
	Run: func(c *call) (int, error) {
		reason := c.String("reason", "", "why it is taken as it is")
		by := c.String("by", "", "who takes it so")
		back := c.Bool("take-back", false, "the acceptance is taken out again")
		write := c.Bool("write", false, "keep it in the file")
		words, err := c.parse(1, 1000, "one file, and a rule with the addresses that its findings stand at")
		if err != nil {
			return Failed, err
		}
		file := words[0]
		if *write && file == "-" {
			return Failed, usagef("--write needs a file, not standard input")
		}
		doc, _, err := c.load(file)
		if err != nil {
			return Failed, err
		}
		r, err := rules.Check(context.Background(), doc, checks.All)
		if err != nil {
			return Failed, err
		}
		if len(words) == 1 {
			return c.acceptances(r, file)
		}
		a := components.Acceptance{Rule: words[1], On: words[2:], Reason: strings.TrimSpace(*reason), By: strings.TrimSpace(*by)}
		edits, err := acceptance(r, a, *back)
		if err != nil {
			return Failed, err
		}
		next, err := doc.Apply(edits...)
		if err != nil {
			return Failed, err
		}
		after, err := rules.Check(context.Background(), next, checks.All)
		if err != nil {
			return Failed, err
		}
		if *write {
			if err := projects.Save(file, next); err != nil {
				return Failed, err
			}
		}
		if _, err := c.acceptances(after, file); err != nil {
			return Failed, err
		}
		if !*write && !*c.json {
			fmt.Fprintln(c.stdout, "Nothing was written: --write keeps it in the file.")
		}
		return Content, nil
	},
}

// acceptance is the edits that take findings of one rule as they are, or back.
func acceptance(r *rules.Report, a components.Acceptance, back bool) ([]components.Edit, error) {
	if findRule(a.Rule) == nil {
		return nil, usagef("%q: there is no such rule%s", a.Rule, components.DidYouMean(a.Rule, ruleIDs()))
	}
	if len(a.On) == 0 {
		return nil, usagef("%s: want the address that the finding stands at, as check tells it", a.Rule)
	}
	if back {
		return takenBack(r, a)
	}
	if a.Reason == "" || a.By == "" {
		return nil, usagef("want --reason, why it is taken as it is, and --by, who takes it so")
	}
	var edits []components.Edit
	for _, at := range a.On {
		f, ok := worstAt(r, a.Rule, at)
		if !ok {
			return nil, usagef("no finding of %s stands at %s%s", a.Rule, at, standsElsewhere(r, a.Rule))
		}
		if f.Level == rules.Danger && len(a.On) > 1 {
			return nil, usagef("%s at %s is a danger: dangers are accepted one address at a time", a.Rule, at)
		}
		edits = append(edits, components.Accept{Acceptance: components.Acceptance{Rule: a.Rule, On: []string{at}, Reason: a.Reason, By: a.By, Level: f.Level.String()}})
	}
	return edits, nil
}

// takenBack takes out every acceptance of a rule at the addresses.
func takenBack(r *rules.Report, a components.Acceptance) ([]components.Edit, error) {
	var edits []components.Edit
	for _, at := range a.On {
		i := slices.IndexFunc(r.Doc.Accepted, func(old components.Acceptance) bool { return old.Rule == a.Rule && slices.Contains(old.On, at) })
		if i < 0 {
			return nil, usagef("no finding of %s is accepted at %s", a.Rule, at)
		}
		old := r.Doc.Accepted[i]
		edits = append(edits, components.Unaccept{Rule: old.Rule, On: old.On})
		if rest := slices.DeleteFunc(slices.Clone(old.On), func(x string) bool { return slices.Contains(a.On, x) }); len(rest) > 0 {
			old.On = rest
			edits = append(edits, components.Accept{Acceptance: old})
		}
	}
	return edits, nil
}

// worstAt is the worst finding of a rule at an address, those behind others with it.
func worstAt(r *rules.Report, rule, at string) (worst rules.Finding, ok bool) {
	for _, f := range r.All() {
		if f.Rule.ID == rule && f.At == at && (!ok || f.Level > worst.Level) {
			worst, ok = f, true
		}
	}
	return worst, ok
}

// standsElsewhere names where a rule does speak.
func standsElsewhere(r *rules.Report, rule string) string {
	var at []string
	for _, f := range r.All() {
		if f.Rule.ID == rule && !slices.Contains(at, f.At) {
			at = append(at, f.At)
		}
	}
	if len(at) == 0 {
		return ": it speaks nowhere in this rig"
	}
	return ": it speaks at " + strings.Join(at, ", ")
}

// acceptances tells what is accepted, and what of it matches nothing any more.
func (c *call) acceptances(r *rules.Report, file string) (int, error) {
	d := report.Of(r, file, nil)
	code := Content
	if len(d.Stale) > 0 {
		code = Found
	}
	accepted := []report.Finding{}
	for _, f := range d.Findings {
		if f.Accepted != nil {
			accepted = append(accepted, f)
		}
	}
	if *c.json {
		e := json.NewEncoder(c.stdout)
		e.SetIndent("", "  ")
		return code, e.Encode(map[string]any{"format": report.Format, "file": file, "accepted": accepted, "stale_acceptances": list(d.Stale)})
	}
	for _, f := range accepted {
		fmt.Fprintf(c.stdout, "accepted %s %s at %s: %s\n    because: %s%s\n", f.Severity, f.Rule, f.On[0], f.Says, f.Accepted.Reason, byWhom(f.Accepted.By))
	}
	for _, a := range d.Stale {
		fmt.Fprintf(c.stdout, "matches nothing any more, or what it matched has become worse: %s at %s (%s%s); take it back\n", a.Rule, strings.Join(a.On, ", "), a.Reason, byWhom(a.By))
	}
	if len(accepted)+len(d.Stale) == 0 {
		fmt.Fprintln(c.stdout, "Nothing is accepted.")
	}
	return code, nil
}

func byWhom(name string) string {
	if name == "" {
		return ""
	}
	return ", by " + name
}

func list[T any](all []T) []T {
	if all == nil {
		return []T{}
	}
	return all
}
