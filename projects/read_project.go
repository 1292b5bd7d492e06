package projects

import (
	"fmt"
	"slices"

	"gopkg.in/yaml.v3"

	"rigline/components"
)

// topKeys are the keys of a project in the order of the file.
var topKeys = []string{"format", "title", "rig", "basis", "units", "ambient_c", "conductor_temp_c", "ampacity", "parts", "runs", "states", "revisions", "notes", "accepted", "readings"}

// The rule sets and systems of units that a project may name.
var (
	bases       = []string{"us-rv", "iec-caravan"}
	ampacities  = []string{components.ByConstruction, components.Enclosed}
	unitSystems = []string{"us", "metric"}
)

// The range of air and conductor temperatures of a project, in °C; that of the
// air is the one of runs.
const (
	ambientLow, ambientHigh     = -40, 90
	conductorLow, conductorHigh = 20, 105
)

func (r *reader) project(root *yaml.Node) {
	s := scope{reader: r}
	if root.Kind != yaml.MappingNode {
		s.fault(root, "the file holds %s: want a project that begins with format: %s", shown(root), Version)
		return
	}
	if !s.version(root) {
		return
	}
	top := s.entries(root, "the project", topKeys, nil)
	if e, ok := top["title"]; ok {
		r.doc.Title = s.text(e.value, "title")
	}
	if e, ok := top["rig"]; ok {
		r.rig(e.value)
	}
	if e, ok := top["basis"]; ok {
		r.doc.Basis = s.word(e.value, "basis", bases)
	}
	if e, ok := top["units"]; ok {
		r.doc.Units = s.word(e.value, "units", unitSystems)
	}
	if e, ok := top["ambient_c"]; ok {
		r.doc.AmbientC, _ = s.number(e.value, "ambient_c", ambientLow, ambientHigh)
	}
	if e, ok := top["conductor_temp_c"]; ok {
		r.doc.ConductorTempC, _ = s.number(e.value, "conductor_temp_c", conductorLow, conductorHigh)
	}
	if e, ok := top["ampacity"]; ok {
		r.doc.Ampacity = s.word(e.value, "ampacity", ampacities)
	}
	var edits []components.Edit
	if e, ok := top["parts"]; ok {
		parts := r.parts(s.list(e.value, "parts", maxParts))
		slices.SortFunc(parts, func(a, b components.Part) int { return components.CompareIDs(a.ID, b.ID) })
		for _, p := range parts {
			edits = append(edits, components.AddPart{Part: p})
		}
	}
	// Runs are read against the parts, so these go in first.
	r.apply(root, edits)
	edits = nil
	if e, ok := top["runs"]; ok {
		runs := r.runs(s.list(e.value, "runs", maxRuns))
		slices.SortFunc(runs, func(a, b components.Run) int { return components.CompareIDs(a.ID, b.ID) })
		for _, run := range runs {
			edits = append(edits, components.AddRun{Run: run})
		}
	}
	if e, ok := top["states"]; ok {
		edits = append(edits, components.SetStates{States: r.states(s.list(e.value, "states", maxStates))})
	}
	if e, ok := top["revisions"]; ok {
		edits = append(edits, components.SetRevisions{Revisions: r.revisions(s.list(e.value, "revisions", maxRevisions))})
	}
	if e, ok := top["notes"]; ok {
		edits = append(edits, components.SetNotes{Notes: r.notes(s.list(e.value, "notes", maxNotes))})
	}
	if e, ok := top["accepted"]; ok {
		for _, a := range r.accepted(s.list(e.value, "accepted", maxAccepted)) {
			edits = append(edits, components.Accept{Acceptance: a})
		}
	}
	if e, ok := top["readings"]; ok {
		for _, x := range r.readings(s.list(e.value, "readings", maxReadings)) {
			edits = append(edits, components.Record{Reading: x})
		}
	}
	if len(r.problems) == 0 {
		r.apply(root, edits)
	}
}

// apply puts edits into the document. The reader has checked what they check and
// knows the place, so an error here is a check that it lacks.
func (r *reader) apply(root *yaml.Node, edits []components.Edit) {
	next, err := r.doc.Apply(edits...)
	if err != nil {
		r.fault(root, "%v", err)
		return
	}
	r.doc = next
}

// version tells whether the file is of the version that this reader reads. One
// of another version is refused by that alone: its other keys may mean something
// else.
func (s scope) version(root *yaml.Node) bool {
	for i := 0; i+1 < len(root.Content); i += 2 {
		k, v := root.Content[i], root.Content[i+1]
		if k.Value != "format" {
			continue
		}
		var later int
		switch _, err := fmt.Sscanf(v.Value, "rigline/%d", &later); {
		case v.Kind == yaml.ScalarNode && v.Value == Version:
			return true
		case v.Kind == yaml.ScalarNode && err == nil && later > 1 && v.Value == fmt.Sprintf("rigline/%d", later):
			s.fault(v, "format %s is later than this program reads: want %s, or a newer program", v.Value, Version)
		default:
			s.fault(v, "format is %s: want %s%s", shown(v), Version, s.near(v.Value, []string{Version}))
		}
		return false
	}
	s.fault(root, "format is missing: want format: %s in the first line", Version)
	return false
}

var rigKeys = []string{"about", "drawn_by", "checked_by", "revision", "date"}

func (r *reader) rig(n *yaml.Node) {
	s := scope{r, "rig: ", "rig"}
	e := s.entries(n, "it", rigKeys, nil)
	text := func(key string) string {
		if e, ok := e[key]; ok {
			return s.text(e.value, key)
		}
		return ""
	}
	r.doc.Rig = components.Rig{About: text("about"), DrawnBy: text("drawn_by"), CheckedBy: text("checked_by"), Revision: text("revision"), Date: text("date")}
}
