package command_test

import (
	"bytes"
	"encoding/json"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// layers is the picture of the house: what each package may import of ours. The
// standard library is free to all; tests may import more.
var layers = map[string][]string{
	"assets":               {},
	"components/units":     {},
	"components":           {"components/units"},
	"projects":             {"components", "components/units"},
	"rules/tables":         {"components/units"},
	"rules/nodal":          {},
	"rules/nodal/spice":    {"rules/nodal"},
	"rules/circuit":        {"components", "rules/tables"},
	"rules/solve":          {"components", "components/units", "rules/circuit", "rules/nodal", "rules/tables"},
	"rules/energy":         {"components", "components/units", "rules/circuit", "rules/tables"},
	"rules":                {"components", "rules/energy", "rules/circuit", "rules/solve"},
	"rules/checks":         {"components", "components/units", "rules", "rules/energy", "rules/circuit", "rules/solve", "rules/tables"},
	"rules/sizing":         {"components", "components/units", "rules", "rules/circuit", "rules/solve", "rules/tables"},
	"rules/mending":        {"components", "rules"},
	"rules/rulestest":      {"components", "projects", "rules"},
	"export/letters":       {"assets"},
	"export/terms":         {"components", "export/lists"},
	"export/scene":         {"assets", "components", "components/units", "rules", "export/letters", "export/terms"},
	"export/svg":           {"export/letters", "export/lists", "export/scene", "assets"},
	"export/compare":       {"components", "export/bom", "export/lists", "export/scene"},
	"export/hostile":       {"components", "projects"},
	"export/photocopy":     {"components", "export/scene"},
	"export/html":          {"assets", "export/folio", "export/letters", "export/lists", "export/scene", "export/svg"},
	"export/folio":         {"export/terms", "components", "rules", "rules/circuit", "rules/energy", "export/bom", "export/cards", "export/checklist", "export/lists", "export/report", "export/scene", "export/schedule", "export/solved"},
	"export/pdf":           {"export/folio", "export/letters", "export/lists", "export/scene"},
	"export/bom":           {"export/terms", "components", "components/units", "export/lists"},
	"export/checklist":     {"export/terms", "components", "components/units", "export/bom", "export/cards", "export/lists", "export/solved", "rules/checks", "rules/circuit", "rules/solve", "rules/tables"},
	"export/cards":         {"export/terms", "components", "export/solved", "export/lists", "rules/checks", "rules/circuit", "rules/solve", "rules/tables"},
	"export/schedule":      {"export/terms", "components", "components/units", "export/bom", "export/cards", "export/solved", "export/lists", "rules/checks", "rules/circuit", "rules/tables"},
	"export/solved":        {"components", "rules/circuit", "rules/solve", "rules/tables"},
	"export/lists":         {},
	"export/report":        {"export/terms", "export/lists", "components", "projects", "rules"},
	"export/states":        {"export/terms", "export/lists", "components", "rules/circuit", "rules/solve"},
	"canvas/session":       {"components", "components/units", "projects", "rules", "rules/mending", "rules/circuit", "rules/solve", "rules/sizing", "rules/checks", "export/scene", "export/terms", "export/checklist", "export/solved"},
	"canvas":               {"assets", "export/letters", "canvas/session", "components", "components/units", "projects", "rules", "rules/sizing", "rules/checks", "export/scene", "export/checklist"},
	"cmd/internal/command": {"assets", "components", "projects", "rules", "rules/mending", "rules/energy", "rules/checks", "rules/circuit", "rules/solve", "rules/sizing", "testdata/rules", "export/bom", "export/cards", "export/checklist", "export/folio", "export/html", "export/pdf", "export/report", "export/schedule", "export/solved", "export/states", "export/svg", "export/lists", "export/compare", "export/scene"},
	"cmd/rigcheck":         {"cmd/internal/command", "rules"},
	"cmd/framerate":        {"canvas", "components", "projects", "rules", "rules/checks"},
	"cmd/rigline":          {"canvas", "cmd/internal/command", "rules", "rules/checks"},
}

// only lists libraries that a single package may import, and those that open a
// screen: the editor, and the program that measures it.
var only = map[string][]string{
	"fyne.io/fyne/v2/app":            {"cmd/rigline", "cmd/framerate"},
	"github.com/ajstarks/svgo":       {"export/svg"},
	"github.com/ajstarks/svgo/float": {"export/svg"},
	"github.com/xuri/excelize/v2":    {"export/lists"},
}

type pkg struct {
	ImportPath string
	Imports    []string
}

func list(t *testing.T) []pkg {
	t.Helper()
	cmd := exec.Command("go", "list", "-e", "-json=ImportPath,Imports", "./...")
	cmd.Dir = "../../.."
	out, err := cmd.Output()
	require.NoError(t, err)
	var all []pkg
	for d := json.NewDecoder(bytes.NewReader(out)); d.More(); {
		var p pkg
		require.NoError(t, d.Decode(&p))
		all = append(all, p)
	}
	return all
}

func TestLayers(t *testing.T) {
	for _, p := range list(t) {
		name := strings.TrimPrefix(p.ImportPath, "rigline/")
		allowed, known := layers[name]
		assert.True(t, known, "%s is not on the picture: add it there on purpose", name)
		for _, i := range p.Imports {
			if owner, ok := only[i]; ok {
				assert.Contains(t, owner, name, "%s may be imported by %s alone", i, owner)
			}
			if ours, ok := strings.CutPrefix(i, "rigline/"); ok {
				assert.Contains(t, allowed, ours, "%s imports %s", name, ours)
			}
			if strings.HasPrefix(i, "fyne.io/") {
				assert.True(t, name == "canvas" || name == "cmd/rigline" || name == "cmd/framerate", "%s imports %s: nothing under the canvas knows that a screen exists", name, i)
			}
		}
	}
}

// Only the folders that the project fixed stand at its top.
func TestTopLevel(t *testing.T) {
	allowed := map[string]bool{"cmd": true, "canvas": true, "components": true, "rules": true, "export": true, "assets": true, "projects": true, "testdata": true}
	entries, err := os.ReadDir("../../..")
	require.NoError(t, err)
	for _, e := range entries {
		if e.IsDir() && !strings.HasPrefix(e.Name(), ".") && e.Name() != "handoff" {
			assert.True(t, allowed[e.Name()], e.Name())
		}
	}
}

// Every table and sample that the product reads is inside the project.
func TestNothingReadsOutside(t *testing.T) {
	outside := ".." + "/shared"
	require.NoError(t, filepath.WalkDir("../../..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			if d != nil && d.Name() == ".git" {
				return filepath.SkipDir
			}
			return err
		}
		if ext := filepath.Ext(path); ext != ".go" && ext != ".yaml" && ext != ".csv" && ext != ".md" {
			return nil
		}
		data, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		assert.NotContains(t, string(data), outside, path)
		return nil
	}))
}
