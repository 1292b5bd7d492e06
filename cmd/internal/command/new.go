package command

import (
	"fmt"
	"path/filepath"
	"strings"

	"rigline/components"
	"rigline/projects"
)

var newProject = &Command{
	Name: "new", Args: "KIND FILE",
	Does:    "A starting project, or a copy of a sample.",
	Example: "new trailer-30a mine.yaml",
	Run: func(c *call) (int, error) {
		args, err := c.parse(2, 2, "a kind and a file")
		if err != nil {
			return Failed, err
		}
		var kinds []string
		for _, shelf := range [][]projects.Sample{projects.Starts(), projects.Samples()} {
			for _, s := range shelf {
				kinds = append(kinds, s.Name)
			}
		}
		sample, ok := projects.FindSample(args[0])
		if !ok {
			return Failed, usagef("there is no start %q: want one of %s%s", args[0], strings.Join(kinds, ", "), components.DidYouMean(args[0], kinds))
		}
		if exists(args[1]) {
			return Failed, fmt.Errorf("%s is there already: want the name of a new file", args[1])
		}
		if dir := filepath.Dir(args[1]); !exists(dir) {
			return Failed, fmt.Errorf("%s: there is no folder %s: make it first", args[1], dir)
		}
		if err := projects.Save(args[1], sample.Document()); err != nil {
			return Failed, err
		}
		if !*c.json {
			fmt.Fprintf(c.stdout, "%s: %s\n", args[1], sample.Title)
			return Content, nil
		}
		_, err = fmt.Fprintf(c.stdout, "{\"file\":%q,\"kind\":%q}\n", args[1], sample.Name)
		return Content, err
	},
}

var schema = &Command{
	Name: "schema", Args: "",
	Does:    "The JSON Schema of the project file.",
	Example: "schema",
	Run: func(c *call) (int, error) {
		if _, err := c.parse(0, 0, "no operand"); err != nil {
			return Failed, err
		}
		_, err := c.stdout.Write(projects.Schema())
		return Content, err
	},
}
