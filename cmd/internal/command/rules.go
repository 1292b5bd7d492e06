package command

import (
	"encoding/json"
	"fmt"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/checks"
)

var rulePages = &Command{
	Name: "rules", Args: "[NAME]",
	Does:    "The rule catalogue, or one rule with what it rests on.",
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
			type page struct {
				ID    string        `json:"rule"`
				Title string        `json:"title"`
				Must  string        `json:"must"`
				Level string        `json:"level"`
				Basis []rules.Basis `json:"basis"`
			}
			var pages []page
			for _, r := range book {
				pages = append(pages, page{r.ID, r.Title, r.Must, r.Level.String(), r.Basis})
			}
			e := json.NewEncoder(c.stdout)
			e.SetIndent("", "  ")
			return Content, e.Encode(pages)
		}
		for _, r := range book {
			if len(names) == 0 {
				fmt.Fprintf(c.stdout, "%-42s %-10s %s\n", r.ID, r.Level, r.Title)
				continue
			}
			fmt.Fprintf(c.stdout, "%s (%s)\n%s.\n\nWhat must hold: %s\n\nBasis:\n", r.ID, r.Level, r.Title, r.Must)
			for _, b := range r.Basis {
				fmt.Fprintf(c.stdout, "  %s %s: %s (%s)\n", b.Source, b.Clause, b.Says, b.Seen)
			}
		}
		return Content, nil
	},
}
