package terms

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/lists"
)

func caravanDoc(t *testing.T) *components.Document {
	k, ok := components.FindKind("receptacle")
	require.True(t, ok)
	doc := components.NewDocument("Ground floor")
	doc, err := doc.Apply(components.SetProject{Title: "Ground floor", Basis: components.Caravan, Units: "metric", AmbientC: 30, ConductorTempC: 75},
		components.AddPart{Part: components.Part{ID: "R1", Kind: k, Name: "Hot plate", At: components.Point{X: 100, Y: 100}}})
	require.NoError(t, err)
	return doc
}

// A text of ours is put into the words of the rule set; tags, addresses, names of rules
// and what the owner wrote are not.
func TestSay(t *testing.T) {
	say := Of(caravanDoc(t))
	for in, want := range map[string]string{
		"Shore: SH1 feeds AC":                         "Mains hook-up: SH1 feeds AC",
		"A, Shore":                                    "A, Mains hook-up",
		"no solution on shore":                        "no solution on the mains hook-up",
		"hot to neutral, hot to ground":               "line to neutral, line to earth",
		"Hot and neutral of one circuit":              "Line and neutral of one circuit",
		"the site's breaker":                          "the site's circuit-breaker",
		"a circuit breaker":                           "a circuit-breaker",
		"L N G":                                       "L N PE",
		"CG1.G and G1":                                "CG1.G and G1",
		"found by gfci.rcd-230v":                      "found by gfci.rcd-230v",
		"A GFCI.":                                     "A residual-current device.",
		"look for a hot plug":                         "look for a hot plug",
		"R1 (Hot plate) is a receptacle":              "R1 (Hot plate) is a socket-outlet",
		"Ground floor: ground":                        "Ground floor: earth",
		"shot, hotter, background, legend, breakers.": "shot, hotter, background, legend, circuit-breakers.",
		"2.5 mm2, black":                              "2.5 mm², black",
		"neutral-ground bonds, hot":                   "neutral-earth bonds, line",
	} {
		assert.Equal(t, want, say.Say(in))
	}
	us := Of(components.NewDocument("Ground floor"))
	assert.Equal(t, "hot to ground", us.Say("hot to ground"))
	table := lists.Table{Head: []string{"leg"}, Rows: [][]string{{"Hot plate"}, {"hot"}}}
	assert.Equal(t, lists.Table{Head: []string{"line"}, Rows: [][]string{{"Hot plate"}, {"line"}}}, say.Table(table))
	assert.Equal(t, "hot", table.Rows[1][0], "the list given stays as it is")
}

// To say a thing twice changes nothing, since some texts pass here more than once.
func TestSaidTwiceIsSaidOnce(t *testing.T) {
	say := Of(caravanDoc(t))
	for ours, theirs := range vocabularies[components.Caravan]().says {
		assert.Equal(t, theirs, say.Say(theirs), ours)
		assert.NotContains(t, theirs, "  ", ours)
	}
}

func TestAMistakeInAVocabularyIsMet(t *testing.T) {
	assert.PanicsWithValue(t, "line 2 of a vocabulary: want our words = their words", func() { read("a = b\nc") })
	assert.PanicsWithValue(t, `line 2 of a vocabulary: "a" is told twice`, func() { read("a = b\na = c") })
	assert.False(t, strings.Contains(caravan, "\t"))
}

// A space or a group that the owner named keeps its name.
func TestOwnWordsAmongFigures(t *testing.T) {
	k, ok := components.FindKind("ac-load")
	require.True(t, ok)
	doc, err := caravanDoc(t).Apply(components.AddPart{Part: components.Part{ID: "LD1", Kind: k, At: components.Point{X: 300, Y: 100}, Spec: components.Spec{"never_with": components.Str("hot or cold")}}})
	require.NoError(t, err)
	assert.Equal(t, `LD1 of "hot or cold" is on its line`, Of(doc).Say(`LD1 of "hot or cold" is on its hot`))
}
