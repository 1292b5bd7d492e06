package command

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/assets"
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
		once := cautioned(projects.Write(doc), cautions)
		for _, c := range cautions {
			assert.Equal(t, 1, strings.Count(string(once), "# "+c+"\n"))
		}
		for line := range strings.Lines(strings.TrimSpace(own)) {
			assert.Contains(t, string(once), strings.TrimSpace(line))
		}
		back, _, err := projects.Read("rig.yaml", once)
		require.NoError(t, err)
		assert.Equal(t, string(once), string(cautioned(projects.Write(back), cautions)), "read and exported anew")
	}
}
