package folio

import (
	"fmt"
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
	last, at, wanted, apart := "", "", "", ""
	for len(results) > 0 {
		same := alike(results)
		r := results[0]
		n := len(c.Tables)
		if n == 0 || c.Tables[n-1].Name != r.Phase.ID {
			c.Tables = append(c.Tables, lists.Table{Name: r.Phase.ID, Title: r.Phase.Title, Head: []string{"Item", "Place", "Do", "Expected", "Reading", "Result", "If wrong"}})
			n++
		}
		if len(same) >= many && r.ID != apart {
			c.Tables[n-1].Add(together(same)...)
			results, last = results[len(same):], ""
			continue
		}
		results, apart = results[1:], r.ID
		place := r.Place
		if r.Name != "" && r.Name != r.Place {
			place = strings.TrimSpace(place + " " + r.Name)
		}
		do, wrong := doing(r), r.Wrong
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
		expected := r.Expect.Written() // which tells what is missing, too
		if len(r.Expect.Working) > 0 && r.Expect.Kind == checklist.Band {
			expected += "\n" + strings.Join(r.Expect.Working, "; ")
		}
		if again := "as at " + at; do == again && expected == wanted && len(expected) > len(again) {
			expected = again
		} else {
			wanted = expected
		}
		c.Tables[n-1].Add(r.ID, place, do, expected, reading, result, wrong)
	}
	c.Tables = append(c.Tables, signatures(c.Tables))
	return c
}

// many is from how many places on a check that is alike at all of them is written
// down once, with a blank for each.
const many = 6

// alike are the results at the head of a list that one row can stand for: the same
// check at every terminal, or one that is answered by yes or no, none read yet.
func alike(results []checklist.Result) []checklist.Result {
	first := results[0]
	n := 0
	for _, r := range results {
		simple := r.Each == "terminal" || r.Expect.Kind == checklist.Check && r.Expect.Found == ""
		if r.ID != first.ID || r.Reading != nil || !simple || doing(r) != doing(first) || r.Wrong != first.Wrong {
			break
		}
		n++
	}
	if n < len(results) && results[n].ID == first.ID {
		return nil // some are read: each has its row
	}
	return results[:n]
}

// together is one row for many places. Terminals have their blanks in the list of
// torques.
func together(same []checklist.Result) []string {
	r := same[0]
	if r.Each == "terminal" {
		return []string{r.ID, fmt.Sprintf("%d terminals", len(same)), doing(r), "each as the list of torques has it, ± 10 %; write it down there", "", "", r.Wrong}
	}
	blanks := make([]string, len(same))
	for i, s := range same {
		blanks[i] = s.Place + ":__"
	}
	return []string{r.ID, fmt.Sprintf("%d places", len(same)), doing(r) + "\n" + strings.Join(blanks, "  "), r.Expect.Written() + ", each", "", "", r.Wrong}
}

// doing is what is done at a place, with what, where, and what to beware of.
func doing(r checklist.Result) string {
	do := r.Do
	if r.Points != "" {
		do += "\n" + strings.TrimSpace(r.Meter+": "+r.Points)
	}
	if r.Caution != "" {
		do += "\nCaution: " + r.Caution
	}
	return do
}

// signatures are the lines on which a stage is signed for.
func signatures(stages []lists.Table) lists.Table {
	t := lists.Table{Name: "signed", Title: "Signed for", Head: []string{"Stage", "Done by", "Date", "Signature"}}
	for _, s := range stages {
		t.Add(s.Title, "", "", "")
	}
	t.Add("Inspected before it was energized", "", "", "")
	return t
}
