package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
)

// NoSite finds an inlet for which nothing is drawn that it could be plugged into.
var NoSite = &rules.Rule{
	ID:    "inlet.no-site",
	Title: "Nothing is plugged into an inlet",
	Must:  "An inlet that leads into the rig has the site's outlet, or the carried generator, drawn at its other end: without it no state has the inlet live, and no rule looks at its cord, its feeder, its main breaker and its bonds with outside power.",
	Basis: []rules.Basis{{Source: "what is never fed cannot be solved", Seen: rules.Practice}},
	Level: rules.Violation, Stateless: true,
	Check: func(p *rules.Pass) {
		for _, q := range p.Doc.Parts() {
			if q.Kind != &components.Inlet || q.Gone() || joinedAt(p.Doc, q, []string{"site"}) || !joinedAt(p.Doc, q, []string{"rig"}) {
				continue
			}
			f := rules.Finding{
				At:      string(q.ID),
				Message: fmt.Sprintf("No site supply or generator is drawn at %s: nothing is checked with outside power. Draw the outlet that it is plugged into, with its cord", q.ID),
				Working: []string{fmt.Sprintf("conductors at %s: 0", q.Ref("site"))},
			}
			if fix, ok := drawSite(p, q); ok {
				f.Fixes = []rules.Fix{fix}
			}
			p.Report(f)
		}
	},
}

// drawSite draws the outlet that an inlet's rating asks for, or takes the one that stands
// there with nothing joined, with a listed cord of its size; how long that is nobody has
// told.
func drawSite(p *rules.Pass, inlet components.Part) (rules.Fix, bool) {
	cords := map[float64]struct{ service, size, ground, cable string }{
		50: {"50a-120/240", "6 AWG", "8 AWG", "cord-shore"},
		30: {"30a-120", "10 AWG", "", "cord-shore"},
		20: {"20a-120", "12 AWG", "", "cord-shore"},
		15: {"15a-120", "14 AWG", "", "cord-shore"},
		16: {"16a-230", "2.5 mm2", "", "h07rn-f"},
	}
	cord, ok := cords[inlet.Figure("rating_a").Value]
	var sites []components.Part
	for _, q := range p.Doc.Parts() {
		if q.Kind == &components.Shore && !q.Gone() {
			sites = append(sites, q)
		}
	}
	if !ok || len(sites) > 1 || len(sites) == 1 && (joinedAt(p.Doc, sites[0], []string{"out"}) || sites[0].Word("service")[:3] != cord.service[:3]) {
		return rules.Fix{}, false // beside another site it may be either's
	}
	site := components.Part{ID: p.Doc.FreeID("SH"), Kind: &components.Shore, At: snap(clear(p.Doc, inlet.At.Add(components.Point{X: -120}))), Spec: components.Spec{"service": components.Str(cord.service)}}
	run := components.Run{ID: p.Doc.FreeID("W"), From: site.Ref("out"), To: inlet.Ref("site"), Spec: components.Spec{"size": components.Str(cord.size), "cable": components.Str(cord.cable)}}
	if cord.ground != "" {
		run.Spec["ground_size"] = components.Str(cord.ground)
	}
	edits := []components.Edit{components.AddPart{Part: site}, components.AddRun{Run: run}}
	title := fmt.Sprintf("Draw a site supply of %s A as %s, with its cord", numText(inlet.Figure("rating_a").Value), site.ID)
	if len(sites) == 1 {
		run.From = sites[0].Ref("out")
		edits, title = []components.Edit{components.AddRun{Run: run}}, fmt.Sprintf("Draw the cord from %s to %s", sites[0].ID, inlet.ID)
	}
	if _, err := p.Doc.Apply(edits...); err != nil {
		return rules.Fix{}, false
	}
	return rules.Fix{Title: title, Edits: edits}, true
}
