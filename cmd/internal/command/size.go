package command

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"rigline/components"
	"rigline/export/states"
	"rigline/projects"
	"rigline/rules/checks"
	"rigline/rules/sizing"
)

var size = &Command{
	Name: "size", Args: "[--only TAG,TAG] [--write] FILE",
	Does:    "The smallest conductors and devices that keep every rule in every state, with the rule that decided; with --write the file with them told.",
	Example: "size kitchen.yaml --only W3,F1",
	Run: func(c *call) (int, error) {
		only := c.String("only", "", "these runs, fuses and breakers alone, by their tags; existing ones too")
		write := c.Bool("write", false, "tell the sizes in the file and save it")
		files, err := c.parse(1, 1, "one file")
		if err != nil {
			return Failed, err
		}
		if *write && files[0] == "-" {
			return Failed, usagef("--write needs a file: standard input cannot be written")
		}
		doc, _, err := c.load(files[0])
		if err != nil {
			return Failed, err
		}
		var tags []components.ID
		for _, t := range strings.Split(*only, ",") {
			if t = strings.TrimSpace(t); t != "" {
				tags = append(tags, components.ID(t))
			}
		}
		found, next, err := sizing.Size(context.Background(), doc, checks.All, tags...)
		if err != nil {
			return Failed, usageError{err}
		}
		if *write && next != doc {
			if err := projects.Save(files[0], next); err != nil {
				return Failed, err
			}
		}
		if *c.json {
			return Content, sizesJSON(c.stdout, files[0], sizing.Tables(doc), found)
		}
		return Content, sizesText(c.stdout, sizing.Tables(doc), found, *write)
	},
}

// sizeOut is the JSON of one choice.
type sizeOut struct {
	On      components.ID `json:"on"`
	Key     string        `json:"key"`
	From    string        `json:"from"`
	To      string        `json:"to"`
	Rule    string        `json:"decided_by,omitempty"`
	Says    string        `json:"says,omitempty"`
	Open    []string      `json:"open,omitempty"`
	Waiting []string      `json:"waiting,omitempty"`
}

func sizesJSON(w io.Writer, file, tables string, found []sizing.Choice) error {
	out := []sizeOut{}
	for _, c := range found {
		o := sizeOut{On: c.On, Key: c.Key, From: c.From, To: c.To, Says: c.Says, Open: c.Open, Waiting: c.Waiting}
		if c.Decided != nil {
			o.Rule = c.Decided.ID
		}
		out = append(out, o)
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(map[string]any{"format": states.Format, "file": file, "tables": tables, "sizes": out})
}

func sizesText(w io.Writer, tables string, found []sizing.Choice, written bool) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%-8s %-10s %-10s %s\n", "tag", "drawn", "smallest", "what the next smaller breaks")
	for _, c := range found {
		why := "the smallest made serves"
		switch {
		case c.Decided != nil:
			why = c.Decided.ID + ": " + c.Says
		case c.Beside != "":
			why = fmt.Sprintf("as %s, with which it goes; no rule asks for more than the smallest that is laid", c.Beside)
		case c.Undecided:
			why = "stays as drawn: what it carries is not known"
		}
		fmt.Fprintf(&b, "%-8s %-10s %-10s %s\n", c.On, c.From, c.To, why)
		for _, o := range c.Open {
			fmt.Fprintf(&b, "%30s stays open: %s\n", "", o)
		}
		for _, o := range c.Waiting {
			fmt.Fprintf(&b, "%30s not held to: %s\n", "", o)
		}
	}
	fmt.Fprintf(&b, "\n%s\n", tables)
	if !written {
		fmt.Fprintln(&b, "Nothing is written: --write tells these sizes in the file. A larger conductor than the smallest is always allowed.")
	}
	_, err := io.WriteString(w, b.String())
	return err
}
