// Package lists holds the lists of a hand-off as rows of text, and writes them as
// CSV in a form that a spreadsheet opens and never runs.
package lists

import (
	"encoding/csv"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// Table is one list: a name for its file, a title for its page, its columns and
// its rows. Every row has as many cells as there are columns.
type Table struct {
	Name  string // of the file, without its ending: "runs"
	Title string
	Head  []string
	Rows  [][]string
	None  string // what a list without rows says in a file, so that no one takes it for one that was cut off
}

// Add puts a row on the table. A row of another width than the head's is a
// mistake of ours.
func (t *Table) Add(cells ...string) {
	if len(cells) != len(t.Head) {
		panic(fmt.Sprintf("%s: a row of %d cells under a head of %d", t.Name, len(cells), len(t.Head)))
	}
	t.Rows = append(t.Rows, cells)
}

// About is what a list belongs to, the same on every file of a hand-off.
type About struct {
	Title, Revision, Date string
	Rules                 string   // the rule set and its editions
	Cautions              []string // a sentence each
	Open                  string   // what keeps the rig from being used: "2 dangers: do not energize", "" where nothing does
}

// Lines are the words of About, a line each: title, revision and date, rules,
// cautions.
func (a About) Lines() [][]string {
	lines := [][]string{{"about", given(a.Title), "revision " + given(a.Revision), "date " + given(a.Date)}, {"about", "rule set " + given(a.Rules)}}
	if a.Open != "" {
		lines = append(lines, []string{"about", a.Open + ": see the findings"})
	}
	for _, c := range a.Cautions {
		lines = append(lines, []string{"about", c})
	}
	return lines
}

func given(s string) string {
	if s == "" {
		return "not given"
	}
	return s
}

// records are the head in the first row, so that a spreadsheet can sort and
// filter, the rows, and, after an empty row, what the table belongs to.
func (t Table) records(about About) [][]string {
	all := append([][]string{t.Head}, t.Rows...)
	if len(t.Rows) == 0 && t.None != "" {
		all = append(all, []string{"none: " + t.None})
	}
	all = append(all, nil)
	all = append(all, about.Lines()...)
	width := max(len(t.Head), 4)
	for i, r := range all {
		rec := make([]string, width)
		copy(rec, r)
		all[i] = rec
	}
	return all
}

// CSV writes a table.
func CSV(w io.Writer, t Table, about About) error {
	if err := Records(w, t.records(about)); err != nil {
		return fmt.Errorf("write %s: %w", t.Name, err)
	}
	return nil
}

// Records writes records as CSV, every cell made safe.
func Records(w io.Writer, records [][]string) error {
	c := csv.NewWriter(w)
	for _, r := range records {
		rec := make([]string, len(r))
		for i, cell := range r {
			rec[i] = Safe(Plain(cell))
		}
		if err := c.Write(rec); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

// Safe makes a cell that a spreadsheet would run as a formula into text: one whose
// first letter, behind blanks and marks that have no width, is = + - @ or their
// full-width twins, or that begins with a tab or a line break, gets an apostrophe in
// front. So does such a letter behind a semicolon, a bar, a tab or a line break
// inside the cell, since a program of another country's settings parts cells there.
// A plain number stays a number.
func Safe(cell string) string {
	if cell == "" || Number(cell) || !strings.ContainsAny(cell, leads) && !strings.ContainsAny(cell[:1], "\t\r\n") {
		return cell
	}
	var b strings.Builder
	at := 0 // where a cell begins: that of the table, or one that another program would part
	for i, r := range cell {
		switch {
		case i == 0 && strings.ContainsRune(parts, r) && r != ';' && r != '|':
			b.WriteString("'")
			at = i + 1
		case strings.ContainsRune(parts, r):
			at = i + utf8.RuneLen(r)
		case at >= 0 && strings.ContainsRune(leads, r):
			text := b.String()
			blanks := i - at
			b.Reset()
			b.WriteString(text[:len(text)-blanks] + "'" + text[len(text)-blanks:])
			at = -1
		case !unseen(r):
			at = -1
		}
		b.WriteRune(r)
	}
	return b.String()
}

// parts are what some program parts cells at.
const parts = ";|\t\r\n"

// leads are what a formula begins with.
const leads = "=+-@＝＋－＠"

// unseen tells whether a letter takes no room at the start of a cell: blanks,
// marks of direction, joiners, the byte order mark.
func unseen(r rune) bool {
	switch {
	case r <= ' ', r == 0x7f, r == 0xa0, r == 0x3000, r == 0xfeff, r == 0xad:
		return true
	case r >= 0x2000 && r <= 0x200f, r >= 0x2028 && r <= 0x202f, r >= 0x205f && r <= 0x206f:
		return true
	}
	return false
}

// Number tells whether a cell is a number as these lists print one: digits, a
// point, a minus in front.
func Number(cell string) bool {
	digits, point := 0, 0
	for i, r := range cell {
		switch {
		case r >= '0' && r <= '9':
			digits++
		case r == '.':
			point++
		case r == '-' && i == 0:
		default:
			return false
		}
	}
	return digits > 0 && point <= 1
}

// Plain takes out of a text what no cell may hold: control characters but for the
// line break, bytes that are no letter, and the marks that turn the direction of
// the text after them, which would make a line read as another.
func Plain(cell string) string {
	if utf8.ValidString(cell) && !strings.ContainsFunc(cell, func(r rune) bool { return control(r) || turning(r) }) {
		return cell
	}
	return strings.Map(func(r rune) rune {
		if turning(r) {
			return -1
		}
		if control(r) {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(cell, "\uFFFD"))
}

func control(r rune) bool {
	return r < ' ' && r != '\n' && r != '\t' || r >= 0x7f && r < 0xa0 || r == 0xfffe || r == 0xffff
}

// turning tells whether a letter embeds, overrides or isolates a direction.
func turning(r rune) bool { return r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 }
