package schedule_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/schedule"
	"rigline/projects"
)

// The tables that conductors are held to are told, with the stricter one where the
// project chooses it.
func TestAmpacityTables(t *testing.T) {
	sample := func(name string) *components.Document {
		for _, s := range projects.Samples() {
			if s.Name == name {
				return s.Document()
			}
		}
		t.Fatal(name)
		return nil
	}
	doc := sample("clinic-trailer")
	assert.Equal(t, []string{
		"NEC 310.16 for wire and cable, enclosed, terminals at 60 °C to 1 AWG where not marked",
		"NEC 400.5(A)(1) for cords",
		"33 CFR 183.425 Table 5 for DC cable in free air",
	}, schedule.AmpacityTables(doc))
	project := doc.Project()
	project.Ampacity = components.Enclosed
	strict, err := doc.Apply(project)
	require.NoError(t, err)
	all := schedule.AmpacityTables(strict)
	assert.Equal(t, "33 CFR 183.425 Table 5 for DC cable, or NEC 310.16 as in a raceway where that is less, as this project chooses", all[2])
	assert.Contains(t, strings.Join(schedule.AmpacityTables(sample("caravan-230")), " "), "IEC 60364-5-52 Table B.52.2, method B2")
}
