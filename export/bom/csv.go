package bom

import (
	"fmt"
	"io"
	"strings"

	"rigline/components"
	"rigline/export/lists"
)

// header names the columns.
var header = []string{"section", "quantity", "unit", "description", "rating", "for", "note", "price of one", "price", "before waste", "sold as", "planning from", "planning to", "range is"}

// Write writes the list as CSV: the rows, the totals, and what the list belongs
// to. The same project gives the same bytes.
func Write(w io.Writer, doc *components.Document, about ...string) error {
	if err := lists.Records(w, Records(doc, about...)); err != nil {
		return fmt.Errorf("write the list: %w", err)
	}
	return nil
}

// WriteXLSX writes the same rows as a workbook.
func WriteXLSX(w io.Writer, doc *components.Document, about ...string) error {
	return lists.XLSX(w, []lists.Sheet{{Name: "Bill of materials", Records: Records(doc, about...)}}, lists.About{Title: doc.Title, Date: doc.Rig.Date})
}

// Records are the cells of the list, row by row: the head, the rows, the totals of
// each section and of all, and what the list belongs to.
func Records(doc *components.Document, about ...string) [][]string {
	rows := Rows(doc)
	records := [][]string{header}
	for _, r := range rows {
		records = append(records, r.record())
	}
	records = append(records, totals(rows)...)
	records = append(records, line("about", "", "", doc.Title, "revision "+blank(doc.Rig.Revision), blank(doc.Rig.Date), "rule set "+doc.Basis))
	for _, a := range about {
		records = append(records, line("about", "", "", a))
	}
	return records
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
	rec := line(string(r.Section), quantity, r.Unit, r.Description, r.Rating, strings.Join(tags, " "), r.Note, one, sum)
	if r.Net > 0 {
		rec[9] = fmt.Sprintf("%g", r.Net)
	}
	rec[10] = r.Sold
	if r.Plan.Known {
		rec[11], rec[12], rec[13] = fmt.Sprintf("%.2f", r.Plan.Low), fmt.Sprintf("%.2f", r.Plan.High), PlanSays
	}
	return rec
}

// sum is what a group of rows comes to.
type sum struct {
	price, low, high          float64
	priced, planned, unpriced int
}

func (t *sum) add(r Row) {
	switch {
	case r.Price > 0 && r.Known:
		t.price += r.Price * r.Quantity
		t.priced++
		return
	case r.Plan.Known:
		t.low, t.high = t.low+r.Plan.Low, t.high+r.Plan.High
		t.planned++
	}
	t.unpriced++
}

func (t sum) record(name, what string) []string {
	rec := line(name, "", "", fmt.Sprintf("%srows to buy with a price: %d; without: %d", what, t.priced, t.unpriced))
	if t.priced > 0 {
		rec[8] = fmt.Sprintf("%.2f", t.price)
	}
	if t.planned > 0 {
		rec[11], rec[12], rec[13] = fmt.Sprintf("%.2f", t.low), fmt.Sprintf("%.2f", t.high), fmt.Sprintf("of %d of the rows without a price; %s", t.planned, PlanSays)
	}
	return rec
}

// totals are the roll-ups of the sections to buy, and of all of them.
func totals(rows []Row) [][]string {
	var all sum
	bySection := map[Section]*sum{}
	for _, r := range rows {
		if !r.Section.Bought() {
			continue
		}
		if bySection[r.Section] == nil {
			bySection[r.Section] = &sum{}
		}
		bySection[r.Section].add(r)
		all.add(r)
	}
	var records [][]string
	for _, s := range Sections {
		if t := bySection[s]; t != nil {
			records = append(records, t.record("subtotal", string(s)+", "))
		}
	}
	if all.priced+all.unpriced > 0 {
		records = append(records, all.record("total", ""))
	}
	return records
}

// Safe makes a cell that a spreadsheet would run as a formula into text, as
// lists.Safe does.
func Safe(cell string) string { return lists.Safe(cell) }
