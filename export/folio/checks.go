package folio

import (
	"strings"

	"rigline/export/checklist"
	"rigline/export/lists"
)

// checks is the checklist, a table a phase, with a blank for each reading that is
// missing.
func checks(results []checklist.Result) Chapter {
	c := Chapter{Name: "checklist", Title: "Pre-power-up and commissioning checklist"}
	if len(results) == 0 {
		return c
	}
	c.Lines = []string{checklist.Counts(results) + "."}
	if phase, ok := checklist.Stop(results); ok {
		c.Lines = append(c.Lines, "A reading failed in: "+phase.Title+". Nothing of a later phase is to be done before it is put right.")
	}
	last, at, wanted := "", "", ""
	for _, r := range results {
		n := len(c.Tables)
		if n == 0 || c.Tables[n-1].Name != r.Phase.ID {
			c.Tables = append(c.Tables, lists.Table{Name: r.Phase.ID, Title: r.Phase.Title, Head: []string{"Item", "Place", "Do", "Expected", "Reading", "Result", "If wrong"}})
			n++
		}
		place := r.Place
		if r.Name != "" && r.Name != r.Place {
			place = strings.TrimSpace(place + " " + r.Name)
		}
		do := r.Do
		if r.Points != "" {
			do += "\n" + strings.TrimSpace(r.Meter+": "+r.Points)
		}
		if r.Caution != "" {
			do += "\nCaution: " + r.Caution
		}
		wrong := r.Wrong
		if same := r.Phase.ID + " " + r.ID + " " + do + wrong; same == last { // the same check at the next place
			do, wrong = "as at "+at, ""
		} else {
			last, at = same, r.Place
		}
		reading, result := "", ""
		if r.Reading != nil {
			reading = strings.TrimSpace(r.Reading.Value + " " + r.Reading.Unit)
			result = r.Judgment.Says
		}
		expected := r.Expect.String() // which tells what is missing, too
		if again := "as at " + at; do == again && expected == wanted && len(expected) > len(again) {
			expected = again
		} else {
			wanted = expected
		}
		c.Tables[n-1].Add(r.ID, place, do, expected, reading, result, wrong)
	}
	return c
}
