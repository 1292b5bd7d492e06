package folio

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/checklist"
	"rigline/export/solved"
	"rigline/projects"
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
