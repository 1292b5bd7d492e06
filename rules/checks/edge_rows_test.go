package checks

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// rowCount is how many rows of the edge tables hold one rule: where it speaks, where
// it looks and is content, and where it lacks a figure.
type rowCount struct{ speaks, quiet, asks int }

// Every rule has rows in the edge tables on both sides of its limit, and one for a
// figure that is not known, or tells why it has none. That no figure of any want-file
// goes quiet when it is not known is for TestUnknownIsNeverSilence.
func TestEveryRuleHasEdgeRows(t *testing.T) {
	counts := edgeRows(t)
	for _, l := range limits {
		n := counts[l.rule]
		require.NotNil(t, n, "%s is no rule", l.rule)
		n.speaks, n.quiet = n.speaks+1, n.quiet+2
		if goesQuiet[l.rule] == "" {
			n.asks++
		}
	}
	total := rowCount{}
	for _, r := range All {
		n := counts[r.ID]
		total.speaks, total.quiet, total.asks = total.speaks+n.speaks, total.quiet+n.quiet, total.asks+n.asks
		assert.Positive(t, n.speaks, "%s: no row in which it speaks", r.ID)
		assert.Positive(t, n.quiet, "%s: no row in which it is content", r.ID)
		assert.NotEqual(t, n.asks > 0, lacksNothing[r.ID] != "", "%s: a row in which it lacks a figure, or the reason why there is none", r.ID)
	}
	t.Logf("%d rules, %d rows: %d speak, %d are content, %d ask", len(All), total.speaks+total.quiet+total.asks, total.speaks, total.quiet, total.asks)
}

// edgeRows reads the rows out of the tests' own source, so that the count does not
// hang on which of them run.
func edgeRows(t *testing.T) map[string]*rowCount {
	counts := map[string]*rowCount{}
	byName := map[string]string{}
	for _, r := range All {
		counts[r.ID] = &rowCount{}
	}
	files, err := filepath.Glob("*.go")
	require.NoError(t, err)
	set := token.NewFileSet()
	var tests []*ast.File
	for _, name := range files {
		f, err := parser.ParseFile(set, name, nil, 0)
		require.NoError(t, err)
		if strings.HasSuffix(name, "_test.go") {
			tests = append(tests, f)
			continue
		}
		ast.Inspect(f, func(n ast.Node) bool {
			if v, ok := n.(*ast.ValueSpec); ok && len(v.Values) == 1 {
				if id := ruleID(v.Values[0]); id != "" {
					byName[v.Names[0].Name] = id
				}
			}
			return true
		})
	}
	for _, f := range tests {
		ast.Inspect(f, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.CallExpr:
				if f, ok := n.Fun.(*ast.Ident); ok && f.Name == "edges" && len(n.Args) == 4 {
					countEdges(t, counts, n)
				}
			case *ast.CompositeLit: // {rig, Rule, name, edits, want, source}
				if len(n.Elts) != 6 {
					break
				}
				if rule, ok := n.Elts[1].(*ast.Ident); ok && byName[rule.Name] != "" {
					countWant(counts[byName[rule.Name]], n.Elts[4])
				}
			}
			return true
		})
	}
	return counts
}

// ruleID is the ID of a rule's value, "" for another value.
func ruleID(v ast.Expr) string {
	u, ok := v.(*ast.UnaryExpr)
	if !ok {
		return ""
	}
	lit, ok := u.X.(*ast.CompositeLit)
	if !ok {
		return ""
	}
	for _, e := range lit.Elts {
		if kv, ok := e.(*ast.KeyValueExpr); ok && kv.Key.(*ast.Ident).Name == "ID" {
			return text(kv.Value)
		}
	}
	return ""
}

func countEdges(t *testing.T, counts map[string]*rowCount, call *ast.CallExpr) {
	rule := text(call.Args[2])
	if counts[rule] == nil {
		t.Errorf("edges of %q, which is no rule", rule)
		return
	}
	table, ok := call.Args[3].(*ast.CompositeLit)
	require.True(t, ok, "the rows of %s stand in the call", rule)
	for _, e := range table.Elts {
		row := e.(*ast.CompositeLit)
		field := map[string]ast.Expr{}
		for i, x := range row.Elts {
			if kv, ok := x.(*ast.KeyValueExpr); ok {
				field[kv.Key.(*ast.Ident).Name] = kv.Value
				continue
			}
			field[[]string{"name", "edits", "at", "says", "asks", "from"}[i]] = x
		}
		asks, _ := field["asks"].(*ast.Ident)
		switch {
		case field["says"] == nil || text(field["says"]) == "":
			counts[rule].quiet++
		case asks != nil && asks.Name == "true":
			counts[rule].asks++
		default:
			counts[rule].speaks++
		}
		assert.NotEmpty(t, field["from"], "%s: a row without its source", rule)
	}
}

func countWant(n *rowCount, want ast.Expr) {
	lit, ok := want.(*ast.CompositeLit)
	if !ok { // none
		n.quiet++
		return
	}
	for _, e := range lit.Elts {
		if strings.HasPrefix(text(e), "unchecked") {
			n.asks++
		} else {
			n.speaks++
		}
	}
}

func text(e ast.Expr) string {
	lit, ok := e.(*ast.BasicLit)
	if !ok {
		return "?"
	}
	s, _ := strconv.Unquote(lit.Value)
	return s
}
