package scene

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// The pattern of a line alone tells its role on every rig. Width does not, for it
// tells what is new from what exists.
func TestRolesAreToldWithoutColour(t *testing.T) {
	for _, doc := range testDocuments(t) {
		d := NewPlan(doc).drawing(Options{})
		looks := map[Dash]Role{}
		for _, r := range doc.Runs() {
			st := d.styles[r.ID]
			if was, ok := looks[st.Dash]; ok {
				assert.Equal(t, was, st.Role, "%s: %s looks like a run of %s", doc.Title, r.ID, was)
			}
			looks[st.Dash] = st.Role
		}
	}
}
