package bom

import (
	"encoding/csv"
	"fmt"
	"io"
	"strings"

	"rigline/components"
)

// header names the columns.
var header = []string{"section", "quantity", "unit", "description", "rating", "for", "note", "price of one", "price"}

// Write writes the list as CSV: the rows, the total of those with a price, and
// what the list belongs to. The same project gives the same bytes.
func Write(w io.Writer, doc *components.Document, about ...string) error {
	c := csv.NewWriter(w)
	rows := Rows(doc)
	records := [][]string{header}
	for _, r := range rows {
		records = append(records, r.record())
	}
	if t := total(rows); t != nil {
		records = append(records, t)
	}
	records = append(records, line("about", "", "", doc.Title, "revision "+blank(doc.Rig.Revision), blank(doc.Rig.Date), "rule set "+doc.Basis))
	for _, a := range about {
		records = append(records, line("about", "", "", a))
	}
	for _, rec := range records {
		for i := range rec {
			rec[i] = Safe(rec[i])
		}
		if err := c.Write(rec); err != nil {
			return fmt.Errorf("write the list: %w", err)
		}
	}
	c.Flush()
	if err := c.Error(); err != nil {
		return fmt.Errorf("write the list: %w", err)
	}
	return nil
}

// line is a record with its last columns empty.
func line(cells ...string) []string {
	rec := make([]string, len(header))
	copy(rec, cells)
	return rec
}

func blank(s string) string {
	if s == "" {
		return "not given"
	}
	return s
}

func (r Row) record() []string {
	tags := make([]string, len(r.For))
	for i, id := range r.For {
		tags[i] = string(id)
	}
	quantity, one, sum := "not known", "", ""
	if r.Known {
		quantity = fmt.Sprintf("%g", r.Quantity)
	}
	if r.Price > 0 {
		one = fmt.Sprintf("%.2f", r.Price)
		if sum = "not known"; r.Known {
			sum = fmt.Sprintf("%.2f", r.Price*r.Quantity)
		}
	}
	return line(string(r.Section), quantity, r.Unit, r.Description, r.Rating, strings.Join(tags, " "), r.Note, one, sum)
}

// total sums what is to be bought and has a price, and says how many rows have
// none; nil where no row has one.
func total(rows []Row) []string {
	sum, with, without := 0.0, 0, 0
	for _, r := range rows {
		switch {
		case !r.Section.Bought():
		case r.Price > 0 && r.Known:
			sum += r.Price * r.Quantity
			with++
		default:
			without++
		}
	}
	if with == 0 {
		return nil
	}
	return line("total", "", "", fmt.Sprintf("rows to buy with a price: %d; without: %d", with, without), "", "", "", "", fmt.Sprintf("%.2f", sum))
}

// Safe makes a cell that a spreadsheet would run as a formula into text: one that
// begins with = + - @, a tab or a line break gets an apostrophe in front.
func Safe(cell string) string {
	if cell != "" && strings.ContainsRune("=+-@\t\r\n", rune(cell[0])) {
		return "'" + cell
	}
	return cell
}
