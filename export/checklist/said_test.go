package checklist

import (
	"regexp"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/export/solved"
	"rigline/projects"
)

// The checklist of a 230 V caravan speaks of line, earth and residual current; no
// word of a 120/240 V vehicle stands in it, nor an American size or code.
func TestCaravanSpeaksItsOwnWords(t *testing.T) {
	i := slices.IndexFunc(projects.Samples(), func(s projects.Sample) bool { return s.Name == "caravan-230" })
	require.GreaterOrEqual(t, i, 0)
	foreign := regexp.MustCompile(`(?i)\b(legs?|hots|pedestal|gfci|awg|nec|hot to|hot and neutral|equipment ground|ground[- ]fault|to ground|open ground)\b|120 V|240 V`)
	for _, item := range Items(solved.Of(projects.Samples()[i].Document())) {
		for _, text := range []string{item.Points, item.Do, item.Wrong, item.Caution, item.Expect.String()} {
			assert.Empty(t, foreign.FindString(text), "%s: %s", item.Key(), text)
		}
	}
}
