package checks

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A rule whose findings say nothing of states turns away from all but the first before
// anything else, as its source shows.
func TestStatelessRules(t *testing.T) {
	files, err := filepath.Glob("*.go")
	require.NoError(t, err)
	var source strings.Builder
	for _, f := range files {
		if !strings.HasSuffix(f, "_test.go") {
			text, err := os.ReadFile(f)
			require.NoError(t, err)
			source.Write(text)
		}
	}
	// begins is the first statement of a function, or of the one that it hands its pass to.
	var begins func(name string) string
	first := func(statement string) string {
		if to := regexp.MustCompile(`^(\w+)\(p[,)]`).FindStringSubmatch(strings.TrimSpace(statement)); to != nil {
			return begins(to[1])
		}
		return strings.TrimSpace(statement)
	}
	begins = func(name string) string {
		body := regexp.MustCompile(`\nfunc ` + name + `\(p \*rules\.Pass.*\{\n(.*\n.*)\n`).FindStringSubmatch(source.String())
		require.NotNil(t, body, name)
		return first(body[1])
	}
	n := 0
	for _, r := range All {
		at := strings.Index(source.String(), `"`+r.ID+"\",\n")
		require.Positive(t, at, r.ID)
		check := regexp.MustCompile(`\n\tCheck: +(?:func\(p \*rules\.Pass\) \{\s*((?s:.*?))\s*\},\n|(\w+),\n)`).FindStringSubmatch(source.String()[at:])
		require.NotNil(t, check, r.ID)
		begin := ""
		if check[2] != "" {
			begin = begins(check[2])
		} else {
			begin = first(check[1])
		}
		if r.Stateless() {
			n++
			assert.True(t, regexp.MustCompile(`^if !p\.First\(\) \{\s+return\b`).MatchString(begin), "%s begins with %q", r.ID, begin)
		}
	}
	assert.Greater(t, n, 30)
}
