package command

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"regexp"
	"strings"

	"rigline/components"
	"rigline/projects"
	"rigline/rules"
	"rigline/rules/checks"
	examples "rigline/testdata/rules"
)

var rulePages = &Command{
	Name: "rules", Args: "[NAME]",
	Does:    "The rule catalogue; or one rule with what it rests on, a rig that fails and what puts it right.",
	Example: "rules neutral.one-bond-per-state",
	Run: func(c *call) (int, error) {
		names, err := c.parse(0, 1, "no name, or one")
		if err != nil {
			return Failed, err
		}
		book := checks.All
		if len(names) == 1 {
			r := findRule(names[0])
			if r == nil {
				return Failed, usagef("there is no rule %q%s", names[0], components.DidYouMean(names[0], ruleIDs()))
			}
			book = []*rules.Rule{r}
		}
		if *c.json {
			return c.rulesJSON(book, len(names) == 1)
		}
		var b strings.Builder
		if len(names) == 0 {
			for _, r := range book {
				fmt.Fprintf(&b, "%-42s %-10s %s\n", r.ID, r.Level, r.Title)
			}
		} else if err := page(&b, book[0]); err != nil {
			return Failed, err
		}
		_, err = io.WriteString(c.stdout, b.String())
		return Content, err
	},
}

// rulePage is the JSON of a rule. Fails and Passes are project files, where there
// are such rigs and one rule was asked for.
type rulePage struct {
	ID     string        `json:"rule"`
	Title  string        `json:"title"`
	Must   string        `json:"must"`
	Level  string        `json:"level"`
	Set    string        `json:"rule_set,omitempty"` // that it holds under, "" for every one
	Basis  []rules.Basis `json:"basis"`
	Fails  string        `json:"fails,omitempty"`
	Passes string        `json:"passes,omitempty"`
}

func (c *call) rulesJSON(book []*rules.Rule, whole bool) (int, error) {
	pages := []rulePage{}
	for _, r := range book {
		p := rulePage{ID: r.ID, Title: r.Title, Must: r.Must, Level: r.Level.String(), Set: r.Set, Basis: r.Basis}
		if whole {
			p.Fails, p.Passes, _ = pair(r)
		}
		pages = append(pages, p)
	}
	e := json.NewEncoder(c.stdout)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return Content, e.Encode(pages)
}

// pair is the rig that a rule speaks of and the same put right.
func pair(r *rules.Rule) (fails, passes string, ok bool) {
	a, errA := examples.Files.ReadFile(r.ID + ".yaml")
	b, errB := examples.Files.ReadFile(r.ID + ".fixed.yaml")
	if errA != nil || errB != nil {
		return "", "", false
	}
	return plain(a), plain(b), true
}

var expectation = regexp.MustCompile(`(?m)[ \t]*# want [a-z].*$`)

// plain leaves out the words that are for the tests.
func plain(file []byte) string { return string(expectation.ReplaceAll(file, nil)) }

// page tells one rule.
func page(w io.Writer, r *rules.Rule) error {
	fmt.Fprintf(w, "%s (%s)\n%s.\n\nWhat must hold: %s\n", r.ID, r.Level, r.Title, r.Must)
	if r.Set != "" {
		fmt.Fprintf(w, "Holds under the rule set %s alone.\n", r.Set)
	}
	fmt.Fprint(w, "\nBasis:\n")
	for _, b := range r.Basis {
		fmt.Fprintf(w, "  %s\n", strings.TrimSpace(fmt.Sprintf("%s %s", b.Source, b.Clause)))
		if b.Says != "" {
			fmt.Fprintf(w, "    %s\n", b.Says)
		}
		fmt.Fprintf(w, "    (%s)\n", b.Seen)
	}
	fails, passes, ok := pair(r)
	if !ok {
		_, err := fmt.Fprintln(w, "\nNo rig stands for this rule.")
		return err
	}
	doc, _, err := projects.Read(r.ID+".yaml", []byte(fails))
	if err != nil {
		return err
	}
	report, err := rules.Check(context.Background(), doc, []*rules.Rule{r})
	if err != nil {
		return err
	}
	fmt.Fprint(w, "\nA rig that fails:\n\n")
	indent(w, fails)
	fmt.Fprintln(w, "\nWhat is said of it:")
	for _, f := range report.All() {
		fmt.Fprintf(w, "  %s at %s: %s\n", f.Level, f.At, f.Message)
		for _, line := range f.Working {
			fmt.Fprintf(w, "      %s\n", line)
		}
	}
	fmt.Fprint(w, "\nIt passes with:\n\n")
	changed(w, strings.Split(string(projects.Write(doc)), "\n"), strings.Split(passes, "\n"))
	return nil
}

func indent(w io.Writer, text string) {
	for line := range strings.Lines(text) {
		fmt.Fprintf(w, "  %s", line)
	}
}

// changed tells the lines that are gone and those that are new, under the entry
// that they stand in.
func changed(w io.Writer, before, after []string) {
	// same[i][j] is the length of the longest common run of lines of before[i:] and after[j:].
	same := make([][]int, len(before)+1)
	for i := range same {
		same[i] = make([]int, len(after)+1)
	}
	for i := len(before) - 1; i >= 0; i-- {
		for j := len(after) - 1; j >= 0; j-- {
			if before[i] == after[j] {
				same[i][j] = same[i+1][j+1] + 1
			} else {
				same[i][j] = max(same[i+1][j], same[i][j+1])
			}
		}
	}
	entry, told := "", ""
	put := func(sign, line string) {
		if strings.TrimSpace(line) == "" {
			return
		}
		if entry != told && !strings.HasPrefix(line, "  - ") {
			fmt.Fprintf(w, "    %s\n", entry)
			told = entry
		}
		fmt.Fprintf(w, "  %s %s\n", sign, line)
	}
	for i, j := 0, 0; i < len(before) || j < len(after); {
		switch {
		case i < len(before) && j < len(after) && before[i] == after[j]:
			if strings.HasPrefix(before[i], "  - ") {
				entry = before[i]
			}
			i, j = i+1, j+1
		case j == len(after) || i < len(before) && same[i+1][j] >= same[i][j+1]:
			put("-", before[i])
			i++
		default:
			if strings.HasPrefix(after[j], "  - ") {
				entry, told = after[j], after[j]
			}
			put("+", after[j])
			j++
		}
	}
}
