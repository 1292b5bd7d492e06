package command

import (
	"html/template"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/assets"
	"rigline/export/compare"
	"rigline/export/report"
	"rigline/projects"
)

// The project in a hand-off carries the cautions, survives being read with them and
// does not gather them.
func TestCautionsStandOnceInTheProject(t *testing.T) {
	cautions := strings.Split(strings.TrimSpace(assets.Cautions), "\n")
	require.NotEmpty(t, cautions)
	for _, own := range []string{"", "# of my own\n# in two lines\n", "# of my own, apart\n\n"} {
		doc, _, err := projects.Read("rig.yaml", []byte(own+"format: rigline/1\ntitle: Rig\n"))
		require.NoError(t, err)
		once := cautioned(projects.Write(doc), "Rules, 2020", cautions)
		for _, c := range cautions {
			assert.Equal(t, 1, strings.Count(string(once), "# "+c+"\n"))
		}
		for line := range strings.Lines(strings.TrimSpace(own)) {
			assert.Contains(t, string(once), strings.TrimSpace(line))
		}
		back, _, err := projects.Read("rig.yaml", once)
		require.NoError(t, err)
		assert.Equal(t, string(once), string(cautioned(projects.Write(back), "Rules, 2020", cautions)), "read and exported anew")
		later := string(cautioned(projects.Write(back), "Rules, 2023", cautions))
		assert.Contains(t, later, "# Checked by the rule set Rules, 2023\n")
		assert.NotContains(t, later, "2020", "an edition that it is no longer checked by")
	}
}

// The files of a comparison that are read as text belong to the new revision, by its
// rules and their editions, and carry the cautions.
func TestAComparisonSaysWhatItBelongsTo(t *testing.T) {
	old, next := projects.Samples()[0].Document(), projects.Samples()[1].Document()
	d := compare.Of(old, next)
	rows, err := d.Materials()
	require.NoError(t, err)
	sheets, err := comparisonFiles(d, comparison(d, "old.yaml", "new.yaml", rows), rows)
	require.NoError(t, err)
	project, read := report.ProjectOf(next), 0
	for _, s := range sheets {
		if strings.HasSuffix(s.name, ".pdf") || strings.HasSuffix(s.name, ".svg") { // its lines are broken
			continue
		}
		read++
		for _, want := range append(strings.Split(strings.TrimSpace(assets.Cautions), "\n"), project.Revision, project.Date, project.Rules) {
			if strings.HasSuffix(s.name, ".html") {
				want = template.HTMLEscapeString(want)
			}
			assert.Contains(t, string(s.data), want, s.name)
		}
	}
	assert.Equal(t, 4, read)
}
