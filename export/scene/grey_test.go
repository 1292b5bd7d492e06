package scene

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
)

// On a photocopy, without colour, no two conductors of different roles look the
// same: dash, width and the letters beside them tell them apart. Width alone is not
// relied on, for it also tells what is new from what exists.
func TestRolesAreToldWithoutColour(t *testing.T) {
	for _, doc := range testDocuments(t) {
		d := NewPlan(doc).drawing(Options{})
		looks := map[string]Role{}
		for _, r := range doc.Runs() {
			st := d.styles[r.ID]
			look := fmt.Sprintf("%d %s", st.Dash, d.coreLetters(r))
			role := st.Role
			if role == PV { // a DC positive at the array, told as such by its ends
				role = DCPos
			}
			if was, ok := looks[look]; ok {
				assert.Equal(t, was, role, "%s: %s looks like a run of %s", doc.Title, r.ID, was)
			}
			looks[look] = role
		}
	}
}
