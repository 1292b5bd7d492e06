package checks

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/rules/circuit"
	"rigline/rules/solve"
)

// What a rule goes by is noted where a figure is read by its key. Nothing that rules
// rest on reads a spec past that: by an index, in a loop, or by handing it to what may.
func TestNothingReadsPastTheNote(t *testing.T) {
	shapes := []string{"Ports", "Joins", "Symbol", "Rating", "Same", "Equal", "With", "Clone"} // what a layout follows from, or no figure
	for _, room := range []string{".", "..", "../circuit", "../solve", "../energy"} {
		paths, err := filepath.Glob(filepath.Join(room, "*.go"))
		require.NoError(t, err)
		for _, path := range paths {
			if strings.HasSuffix(path, "_test.go") {
				continue
			}
			files := token.NewFileSet()
			file, err := parser.ParseFile(files, path, nil, 0)
			require.NoError(t, err)
			written := map[ast.Expr]bool{}
			ast.Inspect(file, func(n ast.Node) bool {
				switch n := n.(type) {
				case *ast.AssignStmt:
					for _, to := range n.Lhs {
						written[to] = true
					}
				case *ast.IndexExpr:
					assert.False(t, isSpec(n.X) && !written[n], "%s reads a spec by its key: want Told, Figure or their like", files.Position(n.Pos()))
				case *ast.RangeStmt:
					assert.False(t, isSpec(n.X), "%s goes through a spec", files.Position(n.Pos()))
				case *ast.CallExpr:
					name := ""
					if f, ok := n.Fun.(*ast.SelectorExpr); ok {
						name = f.Sel.Name
					}
					for _, arg := range n.Args {
						assert.False(t, isSpec(arg) && !slices.Contains(shapes, name), "%s hands a spec to %s", files.Position(n.Pos()), name)
					}
				}
				return true
			})
		}
	}
}

func isSpec(e ast.Expr) bool {
	s, ok := e.(*ast.SelectorExpr)
	return ok && s.Sel.Name == "Spec"
}

// A solution, its faults and its demand rest on no more than solve.Fields tells.
func TestSolutionRestsOnItsFields(t *testing.T) {
	var paths []string
	for _, some := range []string{"../../projects/samples/*.yaml", "../../testdata/topologies/*.yaml", "../../testdata/rigs/*.yaml"} {
		found, err := filepath.Glob(some)
		require.NoError(t, err)
		paths = append(paths, found...)
	}
	require.NotEmpty(t, paths)
	for _, path := range paths {
		var reads components.Reads
		doc := load(t, path).Watched(&reads)
		for _, st := range doc.Operating() {
			c := circuit.Build(doc, st)
			s := solve.Solve(c)
			of := func(what string, work func(), may components.FieldSet) {
				reads.Begin()
				work()
				assert.True(t, reads.Fields().Without(may).Empty(), "%s, %s: %s", path, st.Name, what)
				assert.False(t, reads.Fields().Empty(), "%s, %s: %s", path, st.Name, what)
			}
			of("the solution", func() { solve.Solve(circuit.Build(doc, st)).Alive() }, solve.Fields)
			of("faults", func() { s.Faults() }, solve.FaultFields)
			of("full demand", func() { s.FullDemand() }, solve.DemandFields)
		}
	}
}
