package folio

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/checklist"
	"rigline/export/lists"
	"rigline/export/report"
	"rigline/export/solved"
	"rigline/projects"
	"rigline/rules"
	rulebook "rigline/rules/checks"
)

func checked(t *testing.T, edits ...components.Edit) (rows map[string][][]string, last string) {
	t.Helper()
	var doc *components.Document
	for _, s := range projects.Samples() {
		if s.Name == "camper-van" {
			doc = s.Document()
		}
	}
	require.NotNil(t, doc)
	doc, err := doc.Apply(edits...)
	require.NoError(t, err)
	c := checks(checklist.Results(checklist.Items(solved.Of(doc)), doc))
	rows = map[string][][]string{}
	for _, table := range c.Tables {
		for _, r := range table.Rows {
			rows[r[0]] = append(rows[r[0]], r)
		}
	}
	return rows, c.Tables[len(c.Tables)-1].Title
}

// A check that is alike at many places is written once, with a blank for each; once a
// reading is there, each place has its row. Torques have their blanks in their list.
func TestAlikeChecksAreOneRow(t *testing.T) {
	rows, last := checked(t)
	require.Len(t, rows["B03"], 1)
	assert.Equal(t, "39 places", rows["B03"][0][1]) // W1 to W39
	for _, tag := range []string{"W1:__", "W20:__", "W39:__"} {
		assert.Contains(t, strings.Fields(rows["B03"][0][2]), tag)
	}
	require.Len(t, rows["B04"], 1)
	assert.Contains(t, rows["B04"][0][3], "list of torques")
	assert.Len(t, rows["I05"], 3, "alive or dead differs")
	assert.Equal(t, "Signed for", last)
	rows, _ = checked(t, components.Record{Reading: components.Reading{Item: "B03/W2", Value: "yes", Date: "2026-11-25"}})
	assert.Len(t, rows["B03"], 39)
}

// Behind an adapter everything at once is more than the site gives, and the drawing
// says so.
func TestOverdrawnSitesAreTold(t *testing.T) {
	for _, s := range projects.Samples() {
		if s.Name != "library-bus" {
			continue
		}
		var says []string
		for _, st := range solved.Of(s.Document()).States {
			says = append(says, strings.Join(overdrawn(st), ""))
		}
		require.Len(t, says, 5)
		assert.Empty(t, says[0], "34.6 A of 50 A")
		assert.Equal(t, "With everything on at once SH1 is asked for 53 A, and its breaker gives 30 A: run only what the site card of this supply allows.", says[1]) // two legs of 34.6 and 17.7 A in one hot
		assert.Contains(t, says[3], "its breaker gives 15 A")
		assert.Empty(t, says[4], "no site")
	}
}

// States with the same currents share a column, and their names its head.
func TestStatesWithTheSameCurrentsShareAColumn(t *testing.T) {
	table := lists.Table{Head: []string{"tag", "A, Shore", "A, Shore 30 A adapter", "A, Off grid", "note"}}
	table.Add("W1", "1", "1", "0", "")
	table.Add("W2", "2", "2", "2", "")
	c := narrowed("x", "X", table)
	assert.Equal(t, []string{"tag", "A, Shore; Shore 30 A adapter", "A, Off grid"}, c.Tables[0].Head)
	assert.Equal(t, [][]string{{"W1", "1", "0"}, {"W2", "2", "2"}}, c.Tables[0].Rows)
}

// What holds whatever the state is not told of one state.
func TestFindingsOfNoStateNameNone(t *testing.T) {
	for _, s := range projects.Samples() {
		if s.Name != "camper-van" {
			continue
		}
		r, err := rules.Check(t.Context(), s.Document(), rulebook.All)
		require.NoError(t, err)
		for _, e := range findings(report.Of(r, "", nil)).Entries {
			for _, l := range e.Lines {
				assert.NotEqual(t, "states", l.About, e.Title) // a discharge rate, and a day's energy
			}
		}
	}
}
