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

// What a pitch outlet of 230 V may read, held to the range of IEC 60038: its supply
// within 10 %, and down to 14 % below where an appliance must still work. Nothing above
// is borderline: it is the mark of a failing neutral.
func TestPitchOutletWithinThePublishedRange(t *testing.T) {
	i := slices.IndexFunc(projects.Samples(), func(s projects.Sample) bool { return s.Name == "caravan-230" })
	require.GreaterOrEqual(t, i, 0)
	items := Items(solved.Of(projects.Samples()[i].Document()))
	for key, readings := range map[string]map[string]Verdict{
		"S01/SH1.L": {"253": Pass, "253.1": Fail, "230": Pass, "207": Pass, "206.9": Warn, "198": Warn, "197.9": Fail, "120": Fail},
		"S03/SH1.L": {"253": Pass, "254": Fail, "246.5": Pass, "200": Warn, "0": Fail},
		"L06/SH1.L": {"207": Pass, "206": Warn, "198": Warn, "197": Fail},
	} {
		item, ok := Find(items, key)
		require.True(t, ok, key)
		assert.Equal(t, map[string]string{"S01/SH1.L": "207 to 253 V; borderline 198 to 253", "S03/SH1.L": "207 to 253 V; borderline 198 to 253", "L06/SH1.L": "at least 207 V; borderline from 198"}[key], item.Expect.Written())
		for reading, want := range readings {
			got, err := Judge(item, reading)
			require.NoError(t, err)
			assert.Equal(t, want, got.Verdict, "%s reads %s V", key, reading)
		}
	}
}
