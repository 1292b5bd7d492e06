package report

import (
	"strings"

	"rigline/export/lists"
)

// AcceptedTable is what was accepted as it is, with the reason and who gave it: each
// finding that an acceptance holds, wherever it stands, and each acceptance that matches
// nothing any more.
func AcceptedTable(d Document) lists.Table {
	t := lists.Table{Name: "accepted", Title: "Accepted as it is", None: "no finding is accepted as it is", Head: []string{"rule", "level", "at", "states", "says", "reason", "by", "stands"}}
	var add func(all []Finding)
	add = func(all []Finding) {
		for _, f := range all {
			if a := f.Accepted; a != nil {
				t.Add(f.Rule, f.Severity, strings.Join(f.On, ", "), strings.Join(f.inWords, ", "), f.Says, a.Reason, a.By, "yes")
			}
			add(f.Behind)
		}
	}
	add(d.Findings)
	for _, a := range d.Stale {
		t.Add(a.Rule, a.Level, strings.Join(a.On, ", "), "", "", a.Reason, a.By, "no: nothing is found there any more")
	}
	return t
}
