// Package command is the command line of both programs: a table of commands, each
// a value with its help and an example.
package command

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"strings"

	"rigline/components"
	"rigline/projects"
	"rigline/rules"
)

// The exit statuses: content, something found, could not run.
const (
	Content = iota
	Found
	Failed
)

// Command is one command.
type Command struct {
	Name    string
	Args    string // as its help shows them
	Does    string
	Example string
	Run     func(c *call) (int, error)
}

// call is one use of a command.
type call struct {
	*flag.FlagSet
	stdin          io.Reader
	stdout, stderr io.Writer
	raw            []string
	json           *bool
}

// usageError is a mistake in the command line.
type usageError struct{ error }

func usagef(format string, args ...any) error { return usageError{fmt.Errorf(format, args...)} }

// table is every command, in the order of the help.
var table []*Command

func init() {
	table = []*Command{check, solveStates, whatIf, energyDay, export, compareTwo, fix, accept, rulePages, size, readings, newProject, schema}
}

// Known tells whether a word is a command.
func Known(name string) bool {
	return find(name) != nil || name == "help" || name == "--help" || name == "-h"
}

func find(name string) *Command {
	for _, c := range table {
		if c.Name == name {
			return c
		}
	}
	return nil
}

// Main runs a command line and gives its exit status.
func Main(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	if len(args) == 0 {
		help(stderr)
		return Failed
	}
	if args[0] == "help" || args[0] == "--help" || args[0] == "-h" {
		if len(args) == 1 {
			help(stdout)
			return Content
		}
		args = []string{args[1], "--help"}
	}
	cmd := find(args[0])
	if cmd == nil {
		names := make([]string, len(table))
		for i, c := range table {
			names[i] = c.Name
		}
		fmt.Fprintf(stderr, "unknown command %q: want one of %s%s\n", args[0], strings.Join(names, ", "), components.DidYouMean(args[0], names))
		return Failed
	}
	c := &call{FlagSet: flag.NewFlagSet(cmd.Name, flag.ContinueOnError), stdin: stdin, stdout: stdout, stderr: stderr, raw: args[1:]}
	c.SetOutput(io.Discard)
	c.json = c.Bool("json", false, "write JSON")
	code, err := cmd.Run(c)
	var usage usageError
	switch {
	case errors.Is(err, flag.ErrHelp):
		c.describe(stdout, cmd)
		return Content
	case errors.As(err, &usage):
		fmt.Fprintf(stderr, "%s: %v (usage: %s)\n", cmd.Name, err, strings.TrimSpace(cmd.Name+" "+cmd.Args))
		return Failed
	case err != nil:
		fmt.Fprintln(stderr, err)
		return Failed
	}
	return code
}

func (c *call) describe(w io.Writer, cmd *Command) {
	fmt.Fprintf(w, "usage: rigcheck %s\n\n%s\n\n", strings.TrimSpace(cmd.Name+" "+cmd.Args), cmd.Does)
	c.SetOutput(w)
	c.PrintDefaults()
	fmt.Fprintf(w, "\nfor example: rigcheck %s\n", cmd.Example)
}

func help(w io.Writer) {
	fmt.Fprintln(w, "rigcheck checks the drawing of a vehicle's electrical system.\n\nCommands:")
	for _, c := range table {
		fmt.Fprintf(w, "  %s\n      %s\n", strings.TrimSpace(c.Name+" "+c.Args), c.Does)
	}
	fmt.Fprintln(w, "\nEach takes --json and --help; help NAME tells more. - reads standard input.\nExit status: 0 nothing found, 1 something found, 2 could not run.")
}

// parse reads flags before and after the operands and gives the operands.
func (c *call) parse(least, most int, what string) ([]string, error) {
	var operands []string
	rest := c.raw
	for {
		if err := c.Parse(rest); err != nil {
			if errors.Is(err, flag.ErrHelp) {
				return nil, err
			}
			return nil, usageError{c.flagError(err)}
		}
		rest = c.Args()
		if len(rest) == 0 {
			break
		}
		operands = append(operands, rest[0])
		rest = rest[1:]
	}
	if len(operands) < least || len(operands) > most {
		got := "nothing"
		if len(operands) > 0 {
			got = strings.Join(operands, ", ")
		}
		return nil, usagef("want %s, got %s", what, got)
	}
	return operands, nil
}

// flagError names the nearest flag.
func (c *call) flagError(err error) error {
	const undefined = "flag provided but not defined: "
	if name, ok := strings.CutPrefix(err.Error(), undefined); ok {
		var names []string
		c.VisitAll(func(f *flag.Flag) { names = append(names, "--"+f.Name) })
		return fmt.Errorf("unknown flag %s: want one of %s%s", "--"+strings.TrimLeft(name, "-"), strings.Join(names, ", "), components.DidYouMean("--"+strings.TrimLeft(name, "-"), names))
	}
	return err
}

// load reads a project file, or standard input for "-".
func (c *call) load(path string) (*components.Document, *projects.Index, error) {
	if path != "-" {
		return projects.Load(path)
	}
	const most = 8<<20 + 1
	data, err := io.ReadAll(io.LimitReader(c.stdin, most))
	if err != nil {
		return nil, nil, fmt.Errorf("read standard input: %w", err)
	}
	return projects.Read("-", data)
}

var levels = map[string]rules.Level{"danger": rules.Danger, "violation": rules.Violation, "advice": rules.Advice}

// failOn reads the level from which findings make the status 1.
func failOn(word string) (rules.Level, error) {
	l, ok := levels[word]
	if !ok {
		return 0, usagef("--fail-on %q: want danger, violation or advice%s", word, components.DidYouMean(word, []string{"danger", "violation", "advice"}))
	}
	return l, nil
}

// status is 1 where an open finding is at or above a level.
func status(r *rules.Report, from rules.Level) int {
	for _, f := range r.Findings {
		if f.Accepted == nil && f.Level >= from {
			return Found
		}
	}
	return Content
}

// exists tells whether a path is taken.
func exists(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}
