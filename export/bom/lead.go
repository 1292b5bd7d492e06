package bom

import (
	"rigline/components"
)

// IsLead tells whether a run is the lead between the site's outlet and the rig's
// inlet. It is bought as it is made, with its plug and connector, lies loose and is
// wound up afterwards.
func IsLead(doc *components.Document, r components.Run) bool {
	a, okA := doc.Part(r.From.Part)
	b, okB := doc.Part(r.To.Part)
	return okA && okB && (a.Kind == &components.Shore && b.Kind == &components.Inlet || b.Kind == &components.Shore && a.Kind == &components.Inlet)
}

// ofLead is what the ends of a lead are.
const ofLead = "its own plug or connector"
