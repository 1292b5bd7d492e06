package command_test

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"rigline/cmd/internal/command"
	"rigline/projects"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"rigcheck": func() { os.Exit(command.Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) },
	})
}

// The stories: what a person types, and what comes of it.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "../../../testdata/script",
		Setup: func(e *testscript.Env) error {
			for shelf, samples := range map[string][]projects.Sample{"samples": projects.Samples(), "broken": projects.BrokenSamples()} {
				dir := filepath.Join(e.WorkDir, shelf)
				if err := os.MkdirAll(dir, 0o755); err != nil {
					return err
				}
				for _, s := range samples {
					if err := os.WriteFile(filepath.Join(dir, filepath.Base(s.Name)+".yaml"), s.Data, 0o644); err != nil {
						return err
					}
				}
			}
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"json": jsonHas, "replace": replaceIn},
	})
}

// jsonHas checks a value in the JSON of standard output: json counts.danger 2.
func jsonHas(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) != 2 {
		ts.Fatalf("usage: json path value")
	}
	var v any
	if err := json.Unmarshal([]byte(ts.ReadFile("stdout")), &v); err != nil {
		ts.Fatalf("standard output is no JSON: %v", err)
	}
	for _, key := range strings.Split(args[0], ".") {
		switch x := v.(type) {
		case map[string]any:
			v = x[key]
		case []any:
			var i int
			if _, err := fmt.Sscan(key, &i); err != nil || i >= len(x) {
				ts.Fatalf("%s: no entry %s of %d", args[0], key, len(x))
			}
			v = x[i]
		default:
			ts.Fatalf("%s: nothing at %s", args[0], key)
		}
	}
	if got := fmt.Sprint(v); (got == args[1]) == neg {
		ts.Fatalf("%s is %s, want %s", args[0], got, args[1])
	}
}

// replaceIn puts one text for another all over a file: replace old new file.
func replaceIn(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) != 3 || neg {
		ts.Fatalf("usage: replace old new file")
	}
	text := ts.ReadFile(args[2])
	if !strings.Contains(text, args[0]) {
		ts.Fatalf("%s does not hold %q", args[2], args[0])
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[2]), []byte(strings.ReplaceAll(text, args[0], args[1])), 0o644))
}
