package folio

import (
	"slices"
	"strings"

	"rigline/export/lists"
	"rigline/export/solved"
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
	var heads []string
	var columns [][]string
	for _, i := range keep {
		column := make([]string, len(t.Rows))
		for k, r := range t.Rows {
			column[k] = r[i]
		}
		if n := len(heads) - 1; n >= 0 && strings.HasPrefix(t.Head[i], ofState) && strings.HasPrefix(heads[n], ofState) && slices.Equal(columns[n], column) {
			heads[n] += "; " + strings.TrimPrefix(t.Head[i], ofState) // two states with the same currents
			continue
		}
		heads, columns = append(heads, t.Head[i]), append(columns, column)
	}
	narrow := lists.Table{Name: t.Name, Title: t.Title, Head: heads}
	for k := range t.Rows {
		cells := make([]string, len(columns))
		for i, column := range columns {
			cells[i] = column[k]
		}
		narrow.Rows = append(narrow.Rows, cells)
	}
	c.Tables = []lists.Table{narrow}
	if len(same) > 0 {
		c.Lines = []string{"The same in every row: " + strings.Join(same, "; ") + "."}
	}
	return c
}

// explained says what the currents of a list are, and where they are more than is to
// be had.
func (c Chapter) explained(rig *solved.Rig) Chapter {
	if c.empty() || len(rig.States) == 0 {
		return c
	}
	c.Lines = append(c.Lines, "A and a state: amperes with everything on at once in that state.")
	for _, st := range rig.States {
		for _, l := range overdrawn(st) {
			c.Lines = append(c.Lines, st.Name+": "+l)
		}
	}
	return c
}

// ofState begins the head of a column of currents.
const ofState = "A, "
