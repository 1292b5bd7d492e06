package checks

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/rules"
)

// RULES.md tells every rule with what it rests on, the states and the arithmetic
// of a rig that fails, and what puts it right. -update writes it.
func TestRulePagesAreFresh(t *testing.T) {
	const file = "../RULES.md"
	var b bytes.Buffer
	fmt.Fprintf(&b, "# The rules\n\nWritten by the tests out of the rules and their example rigs; do not edit. %d rules.\n", len(All))
	fmt.Fprint(&b, "A danger can kill or start a fire in ordinary use; a violation breaks a clause or a device's limit; advice is performance, durability or practice.\n")
	for _, r := range All {
		page(t, &b, r)
	}
	if *update {
		require.NoError(t, os.WriteFile(file, b.Bytes(), 0o644))
	}
	have, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, b.String(), string(have), "rules/RULES.md is stale: run this test with -update")
}

func page(t *testing.T, b *bytes.Buffer, r *rules.Rule) {
	fmt.Fprintf(b, "\n## %s\n\n%s (%s at worst).\n\n**Must hold:** %s\n\n", r.ID, r.Title, r.Level, r.Must)
	if r.Set != "" {
		fmt.Fprintf(b, "Under the rule set `%s` alone.\n\n", r.Set)
	}
	for _, x := range r.Basis {
		line := strings.TrimSpace(x.Source + " " + x.Clause)
		if x.Says != "" {
			line += ": " + strings.TrimSuffix(x.Says, ".")
		}
		if string(x.Seen) != x.Source {
			line += " (" + string(x.Seen) + ")"
		}
		fmt.Fprintf(b, "- %s\n", line)
	}
	if len(r.Explains) > 0 {
		fmt.Fprintf(b, "\nStands before %s at the same place.\n", strings.Join(r.Explains, ", "))
	}
	path := filepath.Join("../../testdata/rules", r.ID+".yaml")
	if _, err := os.Stat(path); err != nil {
		return
	}
	for _, f := range check(t, load(t, path)).All() {
		if f.Rule != r {
			continue
		}
		fmt.Fprintf(b, "\nFails, for example at %s in %s:\n\n> %s\n", f.At, strings.Join(f.States, ", "), strings.ReplaceAll(f.Message, "\n", " "))
		for _, line := range f.Working {
			fmt.Fprintf(b, ">\n> `%s`\n", line)
		}
		for _, x := range f.Fixes {
			fmt.Fprintf(b, "\nPasses after: %s\n", x.Title)
		}
		break
	}
}

// A rule stands once, and explains only rules that are.
func TestTheBookIsWhole(t *testing.T) {
	var ids []string
	for _, r := range All {
		assert.NotContains(t, ids, r.ID)
		ids = append(ids, r.ID)
		assert.NotEmpty(t, r.Basis, r.ID)
		assert.NotEmpty(t, r.Must, r.ID)
	}
	for _, r := range All {
		for _, id := range r.Explains {
			assert.True(t, slices.Contains(ids, id), "%s explains %s, which is no rule", r.ID, id)
		}
	}
}
