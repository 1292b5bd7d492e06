package folio

import (
	"slices"
	"strings"

	"rigline/export/lists"
)

// narrowed is a chapter of one list without the columns that say the same in every
// row, or nothing: what they say is said once above the list. The file of the list
// keeps them all.
func narrowed(name, title string, t lists.Table) Chapter {
	c := Chapter{Name: name, Title: title}
	if len(t.Rows) < 2 {
		c.Tables = []lists.Table{t}
		return c
	}
	var same []string
	var keep []int
	for i, head := range t.Head {
		first := t.Rows[0][i]
		alike := !slices.ContainsFunc(t.Rows, func(r []string) bool { return r[i] != first })
		switch {
		case !alike || i == 0:
			keep = append(keep, i)
		case first != "":
			same = append(same, head+": "+first)
		}
	}
	pick := func(cells []string) []string {
		some := make([]string, len(keep))
		for k, i := range keep {
			some[k] = cells[i]
		}
		return some
	}
	narrow := lists.Table{Name: t.Name, Title: t.Title, Head: pick(t.Head)}
	for _, r := range t.Rows {
		narrow.Rows = append(narrow.Rows, pick(r))
	}
	c.Tables = []lists.Table{narrow}
	if len(same) > 0 {
		c.Lines = []string{"The same in every row: " + strings.Join(same, "; ") + "."}
	}
	return c
}
