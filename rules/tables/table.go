// Package tables holds the published tables that the rules and the solver look
// figures up in, each a CSV under data headed by its document, edition, table,
// unit and how it was verified, and the calculations that follow straight from
// them.
//
// A look-up outside a table says so. Nothing is extrapolated, and a band that is
// missing in a table is an error and not the band beside it.
package tables

import (
	"embed"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"

	"rigline/components/units"
)

//go:embed data
var data embed.FS

// row is one line of a table, by column name.
type row map[string]string

// num reads a number. A cell that is none is a mistake in our own table, which
// the first test run meets.
func (r row) num(col string) float64 {
	v, err := strconv.ParseFloat(r[col], 64)
	if err != nil {
		panic(fmt.Sprintf("column %s: %q is no number", col, r[col]))
	}
	return v
}

// maybe reads a number that the table may leave empty.
func (r row) maybe(col string) (v float64, ok bool) {
	if r[col] == "" {
		return 0, false
	}
	return r.num(col), true
}

// or reads a number, or gives another where the cell is empty.
func (r row) or(col string, other float64) float64 {
	if v, ok := r.maybe(col); ok {
		return v
	}
	return other
}

// size reads the size of a row: "2/0" of AWG, or "250" of the kind kcmil.
func (r row) size(col string) units.Size {
	kind := r["kind"]
	if kind == "" {
		kind = "AWG"
	}
	s, err := units.ParseSize(r[col] + " " + kind)
	if err != nil {
		panic(err)
	}
	return s
}

// read parses a table; it panics on a malformed one, since the tables are ours.
func read(name string) []row {
	text, err := data.ReadFile("data/" + name + ".csv")
	if err != nil {
		panic(err)
	}
	c := csv.NewReader(strings.NewReader(string(text)))
	c.Comment = '#'
	records, err := c.ReadAll()
	if err != nil {
		panic(fmt.Sprintf("%s: %v", name, err))
	}
	rows := make([]row, 0, len(records)-1)
	for _, rec := range records[1:] {
		r := row{}
		for i, col := range records[0] {
			r[col] = rec[i]
		}
		rows = append(rows, r)
	}
	return rows
}

func mustFloat(s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		panic(err)
	}
	return v
}
