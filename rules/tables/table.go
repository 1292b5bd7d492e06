// Package tables holds the published tables that the rules and the solver look
// figures up in, each a CSV headed by its document, edition and how it was
// verified. A look-up outside a table says so; nothing is extrapolated.
package tables

import (
	"embed"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"
	"sync"

	"rigline/components/units"
)

//go:embed data
var data embed.FS

// row is one line of a table, by column name.
type row map[string]string

func (r row) num(col string) float64 {
	v, err := strconv.ParseFloat(r[col], 64)
	if err != nil {
		panic(fmt.Sprintf("column %s: %q is no number", col, r[col])) // a mistake in our own table: the first test run meets it
	}
	return v
}

// maybe reads a number that the table may leave empty.
func (r row) maybe(col string) (float64, bool) {
	if r[col] == "" {
		return 0, false
	}
	return r.num(col), true
}

var tables sync.Map // name → []row

// read gives a table's rows, parsed once.
func read(name string) []row {
	if rows, ok := tables.Load(name); ok {
		return rows.([]row)
	}
	rows := parse(name)
	tables.Store(name, rows)
	return rows
}

// parse panics on a malformed table, since the tables are ours.
func parse(name string) []row {
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

// size reads the size columns of a row: "2/0" of AWG, "250" of kcmil.
func size(text, kind string) units.Size {
	if kind == "" {
		kind = "AWG"
	}
	s, err := units.ParseSize(text + " " + kind)
	if err != nil {
		panic(err)
	}
	return s
}
