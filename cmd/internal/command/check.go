package command

import (
	"context"

	"rigline/export/report"
	"rigline/rules"
	"rigline/rules/checks"
)

var check = &Command{
	Name: "check", Args: "[--brief|--sarif|--json] [--fail-on LEVEL] FILE",
	Does:    "Every finding, worst first, with its arithmetic.",
	Example: "check kitchen.yaml",
	Run: func(c *call) (int, error) {
		brief := c.Bool("brief", false, "a line each")
		sarif := c.Bool("sarif", false, "write SARIF 2.1.0")
		from := c.String("fail-on", "violation", "the level that makes the status 1: danger, violation or advice")
		files, err := c.parse(1, 1, "one file")
		if err != nil {
			return Failed, err
		}
		if *brief && *sarif || *brief && *c.json || *sarif && *c.json {
			return Failed, usagef("want one of --brief, --sarif and --json")
		}
		level, err := failOn(*from)
		if err != nil {
			return Failed, err
		}
		doc, index, err := c.load(files[0])
		if err != nil {
			return Failed, err
		}
		r, err := rules.Check(context.Background(), doc, checks.All)
		if err != nil {
			return Failed, err
		}
		d := report.Of(r, files[0], index)
		switch {
		case *sarif:
			err = report.SARIF(c.stdout, d, checks.All)
		case *c.json:
			err = report.JSON(c.stdout, d)
		case *brief:
			err = report.Brief(c.stdout, d)
		default:
			err = report.Text(c.stdout, d)
		}
		return status(r, level), err
	},
}
